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

    /// <summary>Gaps and overlaps between two instants, earliest first; a flaw that goes on is one flaw.</summary>
    /// <param name="from">Start, inclusive.</param>
    /// <param name="to">End, exclusive.</param>
    /// <remarks>Works on instants alone, so nights on which the clocks change are as long as they are.</remarks>
    public IReadOnlyList<RotaFlaw> FlawsBetween(Instant from, Instant to)
    {
        var real = Shifts.Where(s => s.From < s.To && s.To > from && s.From < to).ToList();
        Instant[] edges = [.. real.SelectMany(s => new[] { s.From, s.To }).Where(at => at > from && at < to).Append(from).Append(to).Distinct().Order()];
        var flaws = new List<RotaFlaw>();
        foreach (var (start, end) in edges.Zip(edges.Skip(1)))
        {
            var here = real.Where(s => s.Holds(start)).ToList();
            if (here.Count == 0) Join(flaws, new RotaFlaw.Gap(start, end));
            foreach (var place in here.GroupBy(s => s.Order).OrderBy(g => g.Key))
                if (place.Select(s => s.Person).Distinct().Order(StringComparer.Ordinal).ToList() is { Count: > 1 } people)
                    Join(flaws, new RotaFlaw.Overlap(start, end, place.Key, people));
        }

        return [.. flaws.OrderBy(f => f.From).ThenBy(f => f.To)];
    }

    private static void Join(List<RotaFlaw> flaws, RotaFlaw next)
    {
        var before = flaws.FindIndex(f => f with { From = next.From, To = next.To } == next && f.To == next.From);
        if (before < 0) flaws.Add(next);
        else flaws[before] = next with { From = flaws[before].From };
    }
}
