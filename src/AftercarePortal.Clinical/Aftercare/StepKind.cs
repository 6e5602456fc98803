namespace AftercarePortal.Clinical.Aftercare;

/// <summary>What a step is for. Ordered: of two that must become one, the higher is kept.</summary>
public enum StepKind { Tip, Appointment, CheckIn, Safety }

/// <summary>The written names of step kinds.</summary>
public static class StepKindNames
{
    private static readonly (StepKind Kind, string Name)[] Names =
        [(StepKind.Tip, "tip"), (StepKind.Appointment, "appointment"), (StepKind.CheckIn, "check-in"), (StepKind.Safety, "safety")];

    /// <summary>For example <c>check-in</c>.</summary>
    public static string Name(this StepKind kind) => Names.Single(n => n.Kind == kind).Name;

    /// <summary>The kind with this written name, or null when there is none.</summary>
    public static StepKind? Parse(string? name) => Names.Where(n => n.Name == name).Select(n => (StepKind?)n.Kind).FirstOrDefault();
}
