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
    /// <param name="said">Whether a step, dated and with its text, was said already; it makes no other give way. Null: nothing was.</param>
    /// <remarks>
    /// What was due before signing comes down to its newest safety text, due at signing unless that is too long past; of earlier treatments what was due before is past.
    /// A text that was said a short time before is left out. Of a class that is touched up the rules say what is not asked for anew, so that only what the first treatment still asks for is left of it, and which days count from the first treatment.
    /// Appointments give way in time, not in substance: they move on by an hour until they stand alone. While two groups of classes are fresh,
    /// the rules give texts that name the signs of both.
    /// </remarks>
    public AftercarePlan PlanFor(Given latest, IReadOnlyList<Given> earlier, DateTimeZone zone, QuietHours quietHours, Func<PlannedStep, bool>? said = null)
    {
        Given[] given = [.. earlier, latest];
        var days = given.SelectMany(g => g.Products.Select(p => (Product: p, g.On)))
            .GroupBy(g => g.Product).ToDictionary(g => g.Key, g => g.Max(x => x.On));
        var used = Sequences.Where(s => days.ContainsKey(s.For)).OrderBy(s => Rules.Place(s.For)).ToList();
        var leftOut = new List<LeftOutStep>();
        var first = FirstDays(given, days);
        bool CountsFromFirst(Step step, ProductClass product) => first.ContainsKey(product) && (Rules.TouchUp.FromFirst.Contains(step.TextId) || Rules.TouchUp.LeavesOut.Contains(step.Kind));
        var all = used.SelectMany(s => s.Steps.Select(step => new PlannedStep(step, s.For, s.Version, StepTimes.DueAt(CountsFromFirst(step, s.For) ? first[s.For] : days[s.For], step.Day, step.At, zone)))).ToList();
        leftOut.AddRange(all.Where(p => p.DueAt < latest.Signed && first.ContainsKey(p.For) && Rules.TouchUp.LeavesOut.Contains(p.Step.Kind)).Select(p => new LeftOutStep(p, LeftOutReason.TouchUp, null)));
        var dated = NotAnew([.. all.Where(p => p.DueAt >= latest.Signed || (IsOfLatest(p.For, days, latest) && !CountsFromFirst(p.Step, p.For)))], first, days, zone, leftOut);
        var agreed = new AgreedAdvice(Rules).Of(dated, all, days, leftOut);        // "leave it alone" still holds when the text that said so has gone out
        var toSend = AfterSigning(agreed, latest.Signed, leftOut)
            .Select(p => p with { DueAt = quietHours.MoveOut(p.DueAt, zone) }).Where(p => said?.Invoke(p with { TextId = TextOf(p, days, zone) }) is not true).ToList();
        var talk = Spaced(SaidOnce(OneSequenceADay([.. toSend.Where(p => p.Step.Kind is not StepKind.Appointment)], zone, leftOut), leftOut), leftOut);
        var appointments = OneSequenceADay([.. toSend.Where(p => p.Step.Kind is StepKind.Appointment)], zone, leftOut);
        return new(
            [.. used.Select(s => s.Version), Rules.Version],
            [.. Place(Spaced(appointments, leftOut), talk, zone, quietHours).OrderBy(p => p.DueAt).Select(p => p with { TextId = TextOf(p, days, zone) })],
            leftOut, Uncovered(latest.Products));
    }

    // Classes whose latest day is a touch-up, each with the day it was given first in that course.
    private static Dictionary<ProductClass, LocalDate> FirstDays(IReadOnlyList<Given> given, Dictionary<ProductClass, LocalDate> days) =>
        (from day in days
         let that = given.Where(g => g.On == day.Value && g.Products.Contains(day.Key)).ToList()
         where that.TrueForAll(g => g.TouchesUp is not null)
         let first = given.Where(g => g.On >= that.Min(t => t.TouchesUp!.Value) && g.Products.Contains(day.Key)).Min(g => g.On)
         where first < day.Value
         select (day.Key, first)).ToDictionary();

    private List<PlannedStep> NotAnew(List<PlannedStep> dated, Dictionary<ProductClass, LocalDate> first, Dictionary<ProductClass, LocalDate> days, DateTimeZone zone, List<LeftOutStep> leftOut)
    {
        bool Anew(PlannedStep p) => !first.ContainsKey(p.For)
            || !Rules.TouchUp.FromFirst.Contains(p.Step.TextId) || p.DueAt.InZone(zone).Date > days[p.For].PlusDays(Rules.TouchUp.FromFirstAfterDays);
        leftOut.AddRange(dated.Where(p => !Anew(p)).Select(p => new LeftOutStep(p, LeftOutReason.TouchUp, null)));
        return [.. dated.Where(Anew)];
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
        // The warning list still counts: the newest of it goes out at signing. A record of long ago texts nobody.
        var newest = late.Where(p => p.Step.Kind is StepKind.Safety && signed - p.DueAt <= Duration.FromDays(Rules.LateSafetyDays)).OrderByDescending(p => p.DueAt).ThenBy(p => Rules.Place(p.For)).FirstOrDefault();
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

    // What will have been said a short time before is not said again; what has to give way to a safer text will not have been said.
    private List<PlannedStep> SaidOnce(List<PlannedStep> steps, List<LeftOutStep> leftOut)
    {
        var kept = new List<PlannedStep>();
        foreach (var step in steps.OrderBy(p => p.DueAt))
        {
            if (kept.Find(k => Repeats(step, k) && !steps.Exists(other => other.Step.Kind > k.Step.Kind && Close(other, k))) is { } said)
                leftOut.Add(new(step, LeftOutReason.SaidShortlyBefore, said));
            else kept.Add(step);
        }

        return kept;
    }

    private bool Repeats(PlannedStep step, PlannedStep before) =>
        step.Step.TextId == before.Step.TextId && step.Step.Kind == before.Step.Kind &&
        Rules.NotAgainWithinHours.TryGetValue(step.Step.Kind, out var hours) && step.DueAt - before.DueAt < Duration.FromHours(hours);

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
