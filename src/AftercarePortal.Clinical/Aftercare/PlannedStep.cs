using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;
using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>A step with its date.</summary>
/// <param name="Step">What to send.</param>
/// <param name="For">The product class it is about.</param>
/// <param name="From">The sequence that asked for it.</param>
/// <param name="DueAt">When to send it, after quiet hours and merging.</param>
public sealed record PlannedStep(Step Step, ProductClass For, ContentVersion From, Instant DueAt)
{
    /// <summary>The text that goes out: the step's own, or one that speaks for several classes.</summary>
    public string TextId { get; init; } = Step.TextId;
}

/// <summary>A step that is not sent by itself, and why; kept so that nothing vanishes.</summary>
/// <param name="Step">The step as it would have been.</param>
/// <param name="Why">The reason.</param>
/// <param name="InsteadOfIt">The step that is sent in its place; null when none is.</param>
public sealed record LeftOutStep(PlannedStep Step, LeftOutReason Why, PlannedStep? InsteadOfIt);

/// <summary>Why a step is not sent by itself.</summary>
public enum LeftOutReason
{
    /// <summary>Another product class has a safer step on the same local day.</summary>
    SaferStepThatDay,
    /// <summary>It would have come within an hour of a safer step.</summary>
    WithinAnHour,
    /// <summary>The same text goes out a short time before.</summary>
    SaidShortlyBefore,
    /// <summary>It was due before the record was signed.</summary>
    DueBeforeSigning,
    /// <summary>Another class given at the time asks for the opposite.</summary>
    OppositeAdvice,
    /// <summary>A touch-up does not ask for it anew.</summary>
    TouchUp,
}
