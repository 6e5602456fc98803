using AftercarePortal.Web.Features.Patients;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What the choice of who sent an intake shows.</summary>
/// <param name="Hint">A sentence above the choice.</param>
/// <param name="Number">The number that was typed in the intake, E.164.</param>
/// <param name="Known">Who may be named.</param>
/// <param name="Chosen">A patient's id, or <see cref="WhoSent.SomebodyNew"/>; null: nobody yet.</param>
/// <param name="Wanted">Part of a name or number somebody was looked for by, or null.</param>
internal sealed record ShownSenders(string Hint, string Number, WhoSent.Candidates Known, string? Chosen, string? Wanted)
{
    /// <summary>Whether the patient is known with another number than was typed.</summary>
    public bool HasAnotherNumber(PatientRow patient) => patient.Number != Number;
}
