using AftercarePortal.Clinical.Intake;
using NodaTime;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>What the patient would like, in the codes of the questionnaire.</summary>
/// <param name="Regions">Codes of <c>wish-regions</c>; empty when not said.</param>
/// <param name="Product">Code of <c>wish-product</c>; null when skipped or not sure: both products stay possible.</param>
/// <param name="Strength">Code of <c>wish-strength</c>; null when skipped or not sure: every strength stays possible.</param>
/// <param name="On">Day the range is asked for; ages count to it.</param>
public sealed record Wishes(IReadOnlyList<string> Regions, string? Product, string? Strength, LocalDate On)
{
    /// <summary>Reads the wishes out of an intake. "I do not know yet" is no product.</summary>
    public static Wishes From(Answers answers, LocalDate today) =>
        new(answers.ValuesOf("wish-regions"), answers.ValueOf("wish-product") is { } product and not "unsure" ? product : null, answers.ValueOf("wish-strength"), today);
}
