using NodaTime;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>What hangs on a patient's number beyond her entry. Those who keep it say so here.</summary>
internal interface IAnotherNumber
{
    /// <summary>Whether the last word of a number, E.164, was STOP.</summary>
    Task<bool> HasStopped(string number, CancellationToken stop);

    /// <summary>What waits for a person goes on under the new number: it is rung, told and joined there. Joins the current unit of work.</summary>
    /// <param name="patient">As the entry still stands.</param>
    /// <param name="reached">The new number, E.164.</param>
    Task TakeAlong(PatientRow patient, string reached, Instant now, CancellationToken stop);
}
