using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The aftercare sheet of one treatment in one language, as page and print both show it.</summary>
internal sealed class SheetText
{
    private readonly IReadOnlyDictionary<string, string> _words;
    private readonly Dictionary<string, string> _values;
    private readonly bool _wasStopped;

    /// <param name="language">One of <see cref="Texts.Languages"/>; any other counts as the default.</param>
    /// <param name="words">Words of pages by language, for dates.</param>
    public SheetText(TreatmentRow treatment, ClinicRow clinic, SheetContent content, IReadOnlyDictionary<string, PageWords> words, string? language)
    {
        Language = Texts.Languages.Contains(language) ? language! : Texts.DefaultLanguage;
        _words = content.Words[Language];
        _values = new() { ["{clinic}"] = clinic.Name, ["{clinic-line}"] = clinic.ClinicLine, ["{emergency}"] = clinic.EmergencyNumber, ["{date}"] = AnswerWords.OfDate(treatment.TreatedOn, words[Language]) };
        var (names, classes) = (content.Names[Language], treatment.Placements.Select(p => p.ProductClass).Distinct().ToList());
        string Amount(PlacementRow p) => p.Amount.Replace("units", names["units"], StringComparison.Ordinal);
        // Stopped, a needle may have been in: the signs of what was drawn up, or of everything where nothing was.
        var signsOf = classes.Count > 0 ? classes : treatment.Drawn.Count > 0 ? [.. treatment.Drawn.Select(d => d.ProductClass)] : Enum.GetValues<ProductClass>().ToList();
        Emergency = [.. content.Signs.Where(s => s.Emergency && s.Concerns(signsOf)).Select(s => s.Says[Language])];
        RingClinic = [.. content.Signs.Where(s => !s.Emergency && s.Concerns(signsOf)).Select(s => s.Says[Language])];
        Notes = [.. content.Notes.Where(s => s.Concerns(classes)).Select(s => s.Says[Language])];
        _wasStopped = treatment.WasStopped;
        Placed = _wasStopped ? [_words["placed-nothing"]] :
        [
            .. treatment.Placements.OrderBy(p => p.Ordinal).Select(p => $"{p.Ordinal}. {names[Plain.Words(p.Region)]}, {names[Plain.Words(p.Side)]}: {names[p.ProductClass.Name()]}, {Amount(p)} ({p.ProductName}). "
                + _words["lot"].Replace("{lot}", p.Lot, StringComparison.Ordinal).Replace("{expiry}", AnswerWords.OfDate(p.Expiry, words[Language]), StringComparison.Ordinal)),
        ];
        Abroad = string.Join("; ", content.Countries.Select(c => $"{c.Name[Language]} {c.Number}")) + ".";
        Version = content.Version.ToString();
    }

    public string Language { get; }
    /// <summary>What comes in the days after: texts, or none where the treatment was stopped before anything was placed.</summary>
    public string Days => Say(_wasStopped ? "days-say-stopped" : "days-say");
    public IReadOnlyList<string> Emergency { get; }
    public IReadOnlyList<string> RingClinic { get; }
    public IReadOnlyList<string> Placed { get; }
    public IReadOnlyList<string> Notes { get; }
    /// <summary>Emergency numbers of other countries on one line.</summary>
    public string Abroad { get; }
    public string Version { get; }

    /// <summary>Words of the sheet, filled.</summary>
    public string Say(string key) => _values.Aggregate(_words[key], (text, value) => text.Replace(value.Key, value.Value, StringComparison.Ordinal));
}
