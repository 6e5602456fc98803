using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>What becomes of a step that could not be sent in time, for example in an outage.</summary>
/// <param name="WithinHours">Up to so many hours late, inclusive, it is still sent; 0 or more.</param>
/// <param name="Then">What becomes of it when it is later than that.</param>
public sealed record WhenMissed(int WithinHours, MissedAction Then)
{
    /// <summary>What to do with a step due at <paramref name="due"/> at the instant <paramref name="now"/>.</summary>
    public MissedAction At(Instant due, Instant now) => now - due <= Duration.FromHours(WithinHours) ? MissedAction.Send : Then;
}

/// <summary>What to do with a step. Every merge and skip is kept with its reason.</summary>
public enum MissedAction
{
    /// <summary>Send it, late as it is.</summary>
    Send,
    /// <summary>Leave it to the newest step of the patient that is valid.</summary>
    Merge,
    /// <summary>Do not send it.</summary>
    Skip,
}
