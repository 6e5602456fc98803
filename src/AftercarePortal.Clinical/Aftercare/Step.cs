using AftercarePortal.Clinical.Sources;
using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>One message of a sequence.</summary>
/// <param name="Id">Unique in its sequence.</param>
/// <param name="Day">Calendar days after treatment, 0 to 400.</param>
/// <param name="At">Time on the clinic's wall clock.</param>
/// <param name="TextId">The approved text it sends.</param>
/// <param name="Kind">What it is for.</param>
/// <param name="Missed">What becomes of it when it could not be sent in time.</param>
/// <param name="Sources">Where its content comes from; never empty.</param>
public sealed record Step(
    string Id, int Day, LocalTime At, string TextId, StepKind Kind, WhenMissed Missed, IReadOnlyList<Citation> Sources)
{
    /// <summary>What it asks of the patient, by topic; held against other classes' advice.</summary>
    public IReadOnlyList<Advice> Advises { get; init; } = [];
}
