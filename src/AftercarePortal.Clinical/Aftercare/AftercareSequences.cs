using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>The sequences in force, at most one a product class.</summary>
/// <param name="Sequences">In any order.</param>
public sealed record AftercareSequences(IReadOnlyList<AftercareSequence> Sequences)
{
    private static readonly Duration Apart = Duration.FromHours(1);

    /// <summary>One plan for everything given in a record: never two texts within an hour, and of one local day the safer sequence speaks.</summary>
    /// <param name="record">The signed record.</param>
    /// <param name="zone">The clinic's time zone (IANA).</param>
    /// <param name="quietHours">When no step is sent.</param>
    /// <remarks>
    /// What was due before signing comes down to its newest safety text, due at signing. Appointments give way in time, not in substance:
    /// they move on by an hour until they stand alone. Every text names sight, breathing, speech and swallowing or choking with the
    /// emergency number (a test over the texts holds it), so a merge loses none of these. On a merged day the urgent signs of the class
    /// that gave way may go unnamed; the plan lists what gave way.
    /// </remarks>
    public AftercarePlan PlanFor(TreatmentRecord record, DateTimeZone zone, QuietHours quietHours)
    {
        var given = record.Placements.Select(p => p.ProductClass).Distinct().Order().ToList();
        var used = Sequences.Where(s => given.Contains(s.For)).OrderBy(s => SaferFirst(s.For)).ToList();
        var leftOut = new List<LeftOutStep>();
        var dated = used.SelectMany(s => s.Steps.Select(step =>
            new PlannedStep(step, s.For, s.Version, StepTimes.DueAt(record.TreatedOn, step.Day, step.At, zone)))).ToList();
        var toSend = AfterSigning(dated, record.Signed, leftOut)
            .Select(p => p with { DueAt = quietHours.MoveOut(p.DueAt, zone) }).ToList();
        var talk = Spaced(OneSequenceADay([.. toSend.Where(p => p.Step.Kind is not StepKind.Appointment)], zone, leftOut), leftOut);
        var appointments = OneSequenceADay([.. toSend.Where(p => p.Step.Kind is StepKind.Appointment)], zone, leftOut);
        return new(
            [.. used.Select(s => s.Version)],
            [.. Place(Spaced(appointments, leftOut), talk, zone, quietHours).OrderBy(p => p.DueAt)],
            leftOut,
            [.. given.Except(used.Select(s => s.For))]);
    }

    // A blocked vessel is the harm that cannot wait (evidence, section 4, from memory, unchecked): fillers speak before toxin.
    private static int SaferFirst(ProductClass product) => product is ProductClass.BotulinumToxinTypeA or ProductClass.Prp ? 1 : 0;

    private static IOrderedEnumerable<PlannedStep> SafestFirst(IEnumerable<PlannedStep> steps) =>
        steps.OrderByDescending(p => p.Step.Kind).ThenBy(p => SaferFirst(p.For)).ThenBy(p => p.For);

    private static List<PlannedStep> AfterSigning(List<PlannedStep> dated, Instant signed, List<LeftOutStep> leftOut)
    {
        var late = dated.Where(p => p.DueAt < signed).ToList();
        // The warning list still counts: the newest of it goes out at signing.
        var newest = late.Where(p => p.Step.Kind is StepKind.Safety).OrderByDescending(p => p.DueAt).ThenBy(p => SaferFirst(p.For)).FirstOrDefault();
        var instead = newest is null ? null : newest with { DueAt = signed };
        leftOut.AddRange(late.Where(p => p != newest).Select(p => new LeftOutStep(p, LeftOutReason.DueBeforeSigning, instead)));
        return [.. dated.Where(p => p.DueAt >= signed), .. instead is null ? Array.Empty<PlannedStep>() : [instead]];
    }

    private static List<PlannedStep> OneSequenceADay(List<PlannedStep> steps, DateTimeZone zone, List<LeftOutStep> leftOut)
    {
        var kept = new List<PlannedStep>();
        foreach (var day in steps.GroupBy(p => p.DueAt.InZone(zone).Date))
        {
            var safest = SafestFirst(day).First();
            kept.AddRange(day.Where(p => p.For == safest.For));
            leftOut.AddRange(day.Where(p => p.For != safest.For).Select(p => new LeftOutStep(p, LeftOutReason.SaferStepThatDay, safest)));
        }

        return kept;
    }

    private static List<PlannedStep> Spaced(List<PlannedStep> steps, List<LeftOutStep> leftOut)
    {
        var kept = new List<PlannedStep>();
        // Newest first among equals: what is said later that day is said for longer.
        foreach (var step in SafestFirst(steps).ThenByDescending(p => p.Step.Day).ThenByDescending(p => p.Step.At))
        {
            if (kept.Find(k => Close(k, step)) is { } near) leftOut.Add(new(step, LeftOutReason.WithinAnHour, near));
            else kept.Add(step);
        }

        return kept;
    }

    private static List<PlannedStep> Place(List<PlannedStep> appointments, List<PlannedStep> talk, DateTimeZone zone, QuietHours quietHours)
    {
        var all = new List<PlannedStep>(talk);
        foreach (var appointment in appointments.OrderBy(p => p.DueAt))
        {
            var moved = appointment;
            while (all.Exists(k => Close(k, moved))) moved = moved with { DueAt = quietHours.MoveOut(moved.DueAt + Apart, zone) };
            all.Add(moved);
        }

        return all;
    }

    private static bool Close(PlannedStep one, PlannedStep other)
    {
        var between = one.DueAt - other.DueAt;
        return -Apart < between && between < Apart;
    }
}
