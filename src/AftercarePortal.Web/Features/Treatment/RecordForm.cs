using System.Text.Json;
using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The whole form of a record, exactly as typed.</summary>
/// <param name="RecordId">Id the form was given when it was opened.</param>
/// <param name="Seen">How many records of the patient were signed when it was opened.</param>
/// <param name="TreatedOn">Day of treatment.</param>
/// <param name="Lines">Placements.</param>
/// <param name="Drawn">What was made ready.</param>
/// <param name="Events">What happened during or right after it.</param>
/// <param name="PlanId">Version of the plan it was begun from; null: none.</param>
/// <param name="TouchUpOf">The record it touches up; null: a treatment of its own.</param>
/// <param name="RecalledWhy">Why a lot that had been recalled was given.</param>
/// <param name="NoConsent">A <see cref="Treatment.NoConsent"/> by name: why it is signed though no consent stood.</param>
/// <param name="NoConsentWords">More of that in words.</param>
internal sealed record RecordForm(Guid RecordId, int Seen, string? TreatedOn, List<PlacementForm> Lines, List<DrawnForm> Drawn, string? Events, Guid? PlanId = null, Guid? TouchUpOf = null, string? RecalledWhy = null,
    string? NoConsent = null, string? NoConsentWords = null)
{
    /// <summary>Nothing stands in it but its day.</summary>
    public bool IsBlank => Lines.TrueForAll(l => l.IsBlank) && Drawn.TrueForAll(l => l.IsBlank) && string.IsNullOrWhiteSpace(Events);

    /// <summary>The same form to fill in and read without changing what was typed.</summary>
    public RecordForm Copy() => JsonSerializer.Deserialize<RecordForm>(JsonSerializer.Serialize(this))!;

    /// <summary>How much stands in it, for example <c>2 placements, 1 line drawn up, immediate events</c>.</summary>
    public string Written()
    {
        var (lines, drawn) = (Lines.Count(l => !l.IsBlank), Drawn.Count(l => !l.IsBlank));
        string[] parts = [lines == 0 ? "" : lines == 1 ? "1 placement" : $"{lines} placements", drawn == 0 ? "" : drawn == 1 ? "1 line drawn up" : $"{drawn} lines drawn up", string.IsNullOrWhiteSpace(Events) ? "" : "immediate events"];
        return string.Join(", ", parts.Where(p => p.Length > 0).DefaultIfEmpty("nothing but its day"));
    }

    /// <summary>Every lot that stands in it, typed or scanned.</summary>
    public IEnumerable<string> Lots() =>
        Lines.SelectMany(LotsOf).Concat(Drawn.Select(d => d.Lot?.Trim() ?? "")).Where(lot => lot.Length > 0);

    /// <summary>The lots of one line, typed and scanned; of a scan that can be read in more than one way, every lot it may be of while none is typed.</summary>
    public static IEnumerable<string> LotsOf(PlacementForm line) => new[] { line.Lot }.Concat(string.IsNullOrWhiteSpace(line.Scan) ? [] : Gs1Pack.Read(line.Scan, new(2000, 1, 1)) switch
    {
        Gs1Pack.Outcome.Made made => [made.Pack.Lot],
        Gs1Pack.Outcome.Doubtful doubtful when string.IsNullOrWhiteSpace(line.Lot) => doubtful.Ways.Select(way => way.Lot),
        _ => [],
    }).OfType<string>().Select(lot => lot.Trim()).Where(lot => lot.Length > 0);

    /// <summary>Every field as a browser posts it.</summary>
    public IEnumerable<(string Name, string? Value)> Fields()
    {
        yield return (nameof(RecordId), RecordId.ToString());
        yield return (nameof(Seen), Seen.ToString(System.Globalization.CultureInfo.InvariantCulture));
        yield return (nameof(PlanId), PlanId?.ToString());
        yield return (nameof(TouchUpOf), TouchUpOf?.ToString());
        yield return (nameof(TreatedOn), TreatedOn);
        yield return (nameof(Events), Events);
        yield return (nameof(RecalledWhy), RecalledWhy);
        yield return (nameof(NoConsent), NoConsent);
        yield return (nameof(NoConsentWords), NoConsentWords);
        for (var i = 0; i < Lines.Count; i++)
        {
            var (at, l) = ($"Lines[{i}].", Lines[i]);
            foreach (var (name, value) in new[]
                     {
                         ("Region", l.Region), ("Side", l.Side), ("Product", l.Product), ("ProductName", l.ProductName), ("Scan", l.Scan), ("Lot", l.Lot), ("Expiry", l.Expiry),
                         ("Amount", l.Amount), ("Plane", l.Plane), ("Device", l.Device), ("EntryPoint", l.EntryPoint), ("Same", l.Same ? "true" : "false"),
                     })
                yield return (at + name, value);
        }

        for (var i = 0; i < Drawn.Count; i++)
            foreach (var (name, value) in new[] { ("Product", Drawn[i].Product), ("Lot", Drawn[i].Lot), ("Amount", Drawn[i].Amount), ("Diluent", Drawn[i].Diluent) })
                yield return ($"Drawn[{i}].{name}", value);
    }
}
