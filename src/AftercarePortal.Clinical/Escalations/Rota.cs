using NodaTime;

namespace AftercarePortal.Clinical.Escalations;

/// <summary>Who is on call when.</summary>
/// <param name="Shifts">In any order; may overlap and may leave gaps.</param>
/// <param name="People">Ids of all who can be paged, on a shift or not. Whoever has a shift is always among everyone.</param>
public sealed record Rota(IReadOnlyList<Shift> Shifts, IReadOnlyList<string> People)
{
    /// <summary>Who is on call at an instant. In a gap nobody is in order, and everyone is still everyone.</summary>
    public OnCall OnCallAt(Instant now) =>
        new(
            [.. Shifts.Where(s => s.Holds(now)).OrderBy(s => s.Order).ThenBy(s => s.From).ThenBy(s => s.Person, StringComparer.Ordinal).Select(s => s.Person).Distinct()],
            [.. People.Concat(Shifts.Select(s => s.Person)).Distinct().Order(StringComparer.Ordinal)]);
}
