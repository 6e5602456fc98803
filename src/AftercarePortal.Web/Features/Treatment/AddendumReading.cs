using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Features.Shared;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Reads a typed addendum against its record. What a placement must hold is the core's to say; that a pack had expired is no fault here: an addendum says what was done.</summary>
internal sealed class AddendumReading
{
    private readonly TreatmentRow _record;
    private readonly int? _corrects, _amount;
    private readonly Region? _region;
    private readonly Side? _side;
    private readonly ProductClass? _class;
    private readonly string? _product, _lot;
    private readonly LocalDate? _expiry, _day;
    private readonly RecordStanding? _standing;
    private readonly string _typed;

    public AddendumReading(TreatmentRow record, AddendumForm form, LocalDate today)
    {
        (_record, _corrects, _typed) = (record, form.Corrects, form.Text?.Trim() ?? "");
        (_region, _side, _class) = (ReadTyped.Choice<Region>(form.RightRegion), ReadTyped.Choice<Side>(form.RightSide), ProductClassNames.Parse(form.RightClass));
        (_product, _lot) = (Given(form.RightProduct), Given(form.RightLot));
        (_expiry, _day, _standing) = (ReadTyped.Date(form.RightExpiry), ReadTyped.Date(form.RightDay), ReadTyped.Choice<RecordStanding>(form.Standing));
        if (_typed.Length == 0) Fault = "Write what is to be added, and why.";
        else if (form.OfPlacement != _corrects.HasValue)
            Fault = "To put a placement right, choose the placement and give what is right of it. Amounts: 0 to 20.00 mL in steps of 0.01, of botulinum toxin type A 0 to 100.0 units.";
        else if (_corrects is { } ordinal) Fault = FaultOf(record.AsPutRight(record.Placements.Single(p => p.Ordinal == ordinal)), form, out _amount);
        if (Fault is not null) return;
        if (Given(form.RightDay) is not null && _day is null || _day > today) Fault = "The right day of treatment is a day up to today.";
        else if (Words().Length > AddAddendum.MostLetters) Fault = $"An addendum has at most {AddAddendum.MostLetters} letters.";
    }

    /// <summary>Why it cannot be added, in words; null: nothing speaks against it.</summary>
    public string? Fault { get; }

    /// <summary>Why it would put nothing right, in words; null: it does, or is words only.</summary>
    public string? Idle =>
        _corrects is { } ordinal && !PutRight.Differences(Placement(ordinal), Right(Placement(ordinal))).Any() || _day == _record.AsPutRight().TreatedOn || _standing == _record.Standing
            ? "That is how the record stands already: nothing is put right by it."
            : null;

    /// <summary>Whether a kept addendum says the same.</summary>
    public bool IsThe(AddendumRow there) =>
        (there.TreatmentId, there.Corrects, there.RightAmount, there.RightRegion, there.RightSide, there.RightClass) == (_record.Id, _corrects, _amount, _region, _side, _class)
        && (there.RightProduct, there.RightLot, there.RightExpiry, there.RightDay, there.Standing) == (_product, _lot, _expiry, _day, _standing)
        && (there.Text == _typed || there.Text.EndsWith($"\n{_typed}", StringComparison.Ordinal));

    public AddendumRow RowOf(Guid id, string writtenBy, Instant now) => new()
    {
        Id = id, TreatmentId = _record.Id, Text = Words(), WrittenBy = writtenBy, WrittenAt = now, Corrects = _corrects, RightAmount = _amount, RightRegion = _region, RightSide = _side,
        RightClass = _class, RightProduct = _product, RightLot = _lot, RightExpiry = _expiry, RightDay = _day, Standing = _standing,
    };

    private string? FaultOf(PlacementRow stands, AddendumForm form, out int? amount)
    {
        var toxin = (_class ?? stands.ProductClass) is ProductClass.BotulinumToxinTypeA;
        var (most, steps) = toxin ? (PlacementDraft.MostUnits, 10) : (PlacementDraft.MostMl, 100);
        amount = ReadTyped.Number(form.RightAmount) is { } number && number <= most && decimal.Truncate(number * steps) == number * steps ? (int)(number * steps) : null;
        if (Given(form.RightAmount) is not null && amount is null || amount is null && toxin != stands.TenthsUnits.HasValue)
            return "To put an amount right, choose the placement and give 0 to 20.00 mL in steps of 0.01, of botulinum toxin type A 0 to 100.0 units.";
        if (Given(form.RightRegion) is not null && _region is null || Given(form.RightSide) is not null && _side is null || Given(form.RightClass) is not null && _class is null) return "Choose region, side and class from their lists.";
        if (_class is not null && _class != stands.ProductClass && _product is null) return "With another class, give the product, too.";
        if (_product?.Length > 120 || _lot?.Length > 60) return "The product has at most 120 letters, the lot 60.";
        if (Given(form.RightExpiry) is not null && _expiry is null) return "The right expiry is a date.";
        return (_region ?? stands.Region) is Region.Platysma && !toxin ? "Platysma takes botulinum toxin type A only." : null;
    }

    // What is put right stands before the words, so that every print shows it.
    private string Words()
    {
        var lines = new List<string>();
        if (_corrects is { } ordinal)
        {
            var stands = Placement(ordinal);
            var put = PutRight.Differences(stands, Right(stands)).Select(d => $"{d.Was} should read {d.Right}");
            lines.Add($"Placement {ordinal}, {Plain.Words(stands.Region)}, {Plain.Words(stands.Side)}: {string.Join("; ", put)}.");
        }

        if (_day is { } day) lines.Add($"Day of treatment: {Plain.Day(_record.AsPutRight().TreatedOn)} should read {Plain.Day(day)}.");
        if (_standing is { } standing) lines.Add(PutRight.Words(standing));
        return string.Join('\n', [.. lines, _typed]);
    }

    private PlacementRow Placement(int ordinal) => _record.AsPutRight(_record.Placements.Single(p => p.Ordinal == ordinal));

    private PlacementRow Right(PlacementRow stands)
    {
        var toxin = (_class ?? stands.ProductClass) is ProductClass.BotulinumToxinTypeA;
        var amount = _amount ?? stands.HundredthsMl ?? stands.TenthsUnits;
        return new()
        {
            Ordinal = stands.Ordinal, Region = _region ?? stands.Region, Side = _side ?? stands.Side, ProductClass = _class ?? stands.ProductClass, ProductName = _product ?? stands.ProductName,
            Lot = _lot ?? stands.Lot, Expiry = _expiry ?? stands.Expiry, HundredthsMl = toxin ? null : amount, TenthsUnits = toxin ? amount : null, Plane = stands.Plane, Device = stands.Device,
        };
    }

    private static string? Given(string? typed) => string.IsNullOrWhiteSpace(typed) ? null : typed.Trim();
}
