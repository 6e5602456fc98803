using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Features.Shared;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Reads the typed form. What a record must hold is the core's to say; here only what fits a row.</summary>
internal sealed class RecordReading
{
    private const int ShortText = 120, LotText = 60;

    /// <summary>Everything that keeps the form from being signed, in words; empty when nothing does.</summary>
    public List<string> Reasons { get; } = [];

    /// <summary>Placements that can be read, with their place in the form.</summary>
    public List<(int Number, Placement Placement, PlacementForm Line)> Placements { get; } = [];

    /// <summary>What was made ready.</summary>
    public List<DrawnUp> Drawn { get; } = [];

    public LocalDate? Day { get; }

    private readonly string? _events;

    public RecordReading(RecordForm form)
    {
        (Day, _events) = (ReadTyped.Date(form.TreatedOn), form.Events);
        if (Day is null) Reasons.Add("Day of treatment: give a date.");
        for (var i = 0; i < form.Lines.Count; i++)
            if (!form.Lines[i].IsBlank) Read(form.Lines[i], i + 1);
        for (var i = 0; i < form.Drawn.Count; i++)
            if (!form.Drawn[i].IsBlank) Read(form.Drawn[i], i + 1);
        if ((form.NoConsentWords ?? "").Trim().Length > AddAddendum.MostLetters) Reasons.Add($"Consent: at most {AddAddendum.MostLetters} letters.");
        if ((form.RecalledWhy ?? "").Trim().Length > AddAddendum.MostLetters) Reasons.Add($"Recalled lot: at most {AddAddendum.MostLetters} letters.");
        if ((form.Events ?? "").Trim().Length > AddAddendum.MostLetters) Reasons.Add($"Immediate events: at most {AddAddendum.MostLetters} letters.");
    }

    /// <summary>What the core says about the whole; only when every line could be read.</summary>
    public void Judge(LocalDate today, Instant now)
    {
        if (Reasons.Count > 0 || Day is not { } day) return;
        if (TreatmentRecord.Sign(day, today, now, [.. Placements.Select(p => p.Placement)], Drawn, _events) is TreatmentRecord.Outcome.Refused refused)
            Reasons.AddRange(refused.Reasons.Select(r => RefusalWords.Of(
                r.Why, r.Placement is { } n ? Placements[n - 1].Number : null, r.Placement is { } at && Placements[at - 1].Placement.ProductClass is ProductClass.BotulinumToxinTypeA)));
    }

    private void Read(PlacementForm line, int number)
    {
        var before = Reasons.Count;
        var product = ProductClassNames.Parse(line.Product);
        var toxin = product is ProductClass.BotulinumToxinTypeA;
        var amount = ReadTyped.Number(line.Amount);
        var draft = new PlacementDraft(
            ReadTyped.Choice<Region>(line.Region), ReadTyped.Choice<Side>(line.Side), toxin ? null : Volume.TryOfMl(amount), toxin ? amount : null, ReadTyped.Choice<Plane>(line.Plane),
            line.Device?.Trim() ?? "", line.ProductName?.Trim() ?? "", product, line.Lot?.Trim() ?? "", ReadTyped.Date(line.Expiry));
        Reasons.AddRange(draft.Against(Day).Select(why => RefusalWords.Of(why, number, toxin)));
        TooLong(number, "product", draft.ProductName, ShortText);
        TooLong(number, "lot", draft.Lot, LotText);
        TooLong(number, "device", draft.Device, ShortText);
        TooLong(number, "entry point", line.EntryPoint?.Trim() ?? "", ShortText);
        if (Reasons.Count == before) Placements.Add((number, draft.Placement!, line));
    }

    private void Read(DrawnForm line, int number)
    {
        var drawn = ProductClassNames.Parse(line.Product) is { } product
            ? new DrawnUp(product, line.Lot?.Trim() ?? "", ReadTyped.Number(line.Amount) ?? 0, string.IsNullOrWhiteSpace(line.Diluent) ? null : ReadTyped.Number(line.Diluent) ?? 0)
            : null;
        var faults = drawn is null ? ["choose the product class."] : drawn.Against().Select(RefusalWords.OfDrawn).ToList();
        if (drawn?.Lot.Length > LotText) faults.Add($"the lot is longer than {LotText} letters.");
        Reasons.AddRange(faults.Select(fault => $"Drawn up {number}: {fault}"));
        if (faults.Count == 0) Drawn.Add(drawn!);
    }

    private void TooLong(int number, string what, string text, int most)
    {
        if (text.Length > most) Reasons.Add($"Placement {number}: the {what} is longer than {most} letters.");
    }
}
