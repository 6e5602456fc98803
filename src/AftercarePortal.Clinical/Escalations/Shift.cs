using NodaTime;

namespace AftercarePortal.Clinical.Escalations;

/// <summary>One person on call from one instant to another.</summary>
/// <param name="Person">Id of the person.</param>
/// <param name="From">Start, inclusive.</param>
/// <param name="To">End, exclusive; at or before <paramref name="From"/> the shift never holds.</param>
/// <param name="Order">1 is paged first, 2 next, and so on.</param>
public sealed record Shift(string Person, Instant From, Instant To, int Order)
{
    /// <summary>Whether the person is on call at this instant.</summary>
    public bool Holds(Instant now) => From <= now && now < To;
}
