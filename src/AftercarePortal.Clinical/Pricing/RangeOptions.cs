using AftercarePortal.Clinical.Outcomes;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>What a clinic may choose about a range, and what makes it faster. All of it may be left out.</summary>
public sealed record RangeOptions
{
    /// <summary>The usual promise, nobody named, nothing kept.</summary>
    public static RangeOptions Usual { get; } = new();

    /// <summary>How much the central range is to hold, and whether past quotes widen it.</summary>
    public Calibration Calibration { get; init; } = Calibration.None;

    /// <summary>Who is to treat, by the id of completed cases; null when nobody is named: then each of the clinic's injectors is possible.</summary>
    public string? Injector { get; init; }

    /// <summary>Volumes kept from earlier ranges; null to work them out anew. Changes no figure.</summary>
    public PriceBases? Bases { get; init; }
}
