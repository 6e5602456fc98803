using AftercarePortal.Clinical.Products;
using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>The sequences in force, at most one a product class, and how they become one plan.</summary>
/// <param name="Sequences">In any order.</param>
/// <param name="Rules">How they are merged.</param>
public sealed record AftercareSequences(IReadOnlyList<AftercareSequence> Sequences, MergeRules Rules)
{
    private Duration Apart => Duration.FromMinutes(Rules.ApartMinutes);

    /// <summary>Classes no sequence speaks of: a person must see to their aftercare.</summary>
    public IReadOnlyList<ProductClass> Uncovered(IEnumerable<ProductClass> given) => [.. given.Distinct().Except(Sequences.Select(s => s.For)).Order()];

    /// <summary>One plan for everything a patient was given: never two texts within an hour, no opposite advice, one sequence a local day.</summary>
    /// <param name="latest">The treatment that is being signed.</param>
    /// <param name="earlier">The patient's other treatments; this plan takes over from theirs. Of a class only the latest day counts.</param>
    /// <param name="zone">The clinic's time zone (IANA).</param>
    /// <param name="quietHours">When no step is sent.</param>
    /// <remarks>
    /// What was due before signing comes down to its newest safety text, due at signing; of earlier treatments what was due before is past.
    /// Appointments give way in time, not in substance: they move on by an hour until they stand alone. While two groups of classes are fresh,
    /// the rules give texts that name the signs of both.
    /// </remarks>
    public AftercarePlan PlanFor(Given latest, IReadOnlyList<Given> earlier, DateTimeZone zone, QuietHours quietHours)
    {
        var days = earlier.Append(latest).SelectMany(g => g.Products.Select(p => (Product: p, g.On)))
            .GroupBy(g => g.Product).ToDictionary(g => g.Key, g => g.Max(x => x.On));
        var used = Sequences.Where(s => days.ContainsKey(s.For)).OrderBy(s => Rules.Place(s.For)).ToList();
        var leftOut = new List<LeftOutStep>();
        var dated = used.SelectMany(s => s.Steps.Select(step => new PlannedStep(step, s.For, s.Version, StepTimes.DueAt(days[s.For], step.Day, step.At, zone))))
            .Where(p => p.DueAt >= latest.Signed || IsOfLatest(p.For, days, latest)).ToList();
        var agreed = new AgreedAdvice(Rules).Of(dated, days, leftOut);
        var toSend = AfterSigning(agreed, latest.Signed, leftOut)
            .Select(p => p with { DueAt = quietHours.MoveOut(p.DueAt, zone) }).ToList();
        var talk = Spaced(OneSequenceADay([.. toSend.Where(p => p.Step.Kind is not StepKind.Appointment)], zone, leftOut), leftOut);
        var appointments = OneSequenceADay([.. toSend.Where(p => p.Step.Kind is StepKind.Appointment)], zone, leftOut);
        return new(
            [.. used.Select(s => s.Version), Rules.Version],
            [.. Place(Spaced(appointments, leftOut), talk, zone, quietHours).OrderBy(p => p.DueAt).Select(p => p with { TextId = TextOf(p, days, zone) })],
            leftOut, Uncovered(latest.Products));
    }

    private static bool IsOfLatest(ProductClass product, Dictionary<ProductClass, LocalDate> days, Given latest) =>
        latest.Products.Contains(product) && days[product] == latest.On;

    private string TextOf(PlannedStep planned, Dictionary<ProductClass, LocalDate> days, DateTimeZone zone)
    {
        var date = planned.DueAt.InZone(zone).Date;
        return Rules.TextFor(planned.Step.TextId, days.ToDictionary(d => d.Key, d => Period.DaysBetween(d.Value, date)));
    }

    private IOrderedEnumerable<PlannedStep> SafestFirst(IEnumerable<PlannedStep> steps) =>
        steps.OrderByDescending(p => p.Step.Kind).ThenBy(p => Rules.Place(p.For));

    private List<PlannedStep> AfterSigning(List<PlannedStep> dated, Instant signed, List<LeftOutStep> leftOut)
    {
        var late = dated.Where(p => p.DueAt < signed).ToList();
        // The warning list still counts: the newest of it goes out at signing.
        var newest = late.Where(p => p.Step.Kind is StepKind.Safety).OrderByDescending(p => p.DueAt).ThenBy(p => Rules.Place(p.For)).FirstOrDefault();
        var instead = newest is null ? null : newest with { DueAt = signed };
        leftOut.AddRange(late.Where(p => p != newest).Select(p => new LeftOutStep(p, LeftOutReason.DueBeforeSigning, instead)));
        return [.. dated.Where(p => p.DueAt >= signed), .. instead is null ? Array.Empty<PlannedStep>() : [instead]];
    }

    private List<PlannedStep> OneSequenceADay(List<PlannedStep> steps, DateTimeZone zone, List<LeftOutStep> leftOut)
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

    private List<PlannedStep> Spaced(List<PlannedStep> steps, List<LeftOutStep> leftOut)
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

    private List<PlannedStep> Place(List<PlannedStep> appointments, List<PlannedStep> talk, DateTimeZone zone, QuietHours quietHours)
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

    private bool Close(PlannedStep one, PlannedStep other)
    {
        var between = one.DueAt - other.DueAt;
        return -Apart < between && between < Apart;
    }
}
