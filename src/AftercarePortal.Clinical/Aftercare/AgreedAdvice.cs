using AftercarePortal.Clinical.Products;
using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>Of opposite advice, what says leave it stays, and what says do it is left out: the clinician tells the patient in person.</summary>
internal sealed class AgreedAdvice(MergeRules rules)
{
    /// <param name="dated">The steps that may still go out.</param>
    /// <param name="all">All steps of all classes, also those already sent or past: what they advised still holds.</param>
    /// <param name="days">When each class was last given.</param>
    /// <param name="leftOut">Takes what is left out, with the step that stays.</param>
    public List<PlannedStep> Of(List<PlannedStep> dated, List<PlannedStep> all, Dictionary<ProductClass, LocalDate> days, List<LeftOutStep> leftOut)
    {
        var kept = new List<PlannedStep>();
        foreach (var step in dated)
        {
            var against = rules.Conflicts.Where(c => step.Step.Advises.Contains(new Advice(c.Topic, Avoid: false)))
                .SelectMany(c => all.Where(other => other.For != step.For && other.Step.Advises.Contains(new Advice(c.Topic, Avoid: true)) &&
                    Math.Abs(Period.DaysBetween(days[other.For], days[step.For])) <= c.WithinDays))
                .FirstOrDefault();
            if (against is null) kept.Add(step);
            else leftOut.Add(new(step, LeftOutReason.OppositeAdvice, against));
        }

        return kept;
    }
}
