namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Kinds of jobs this feature stores.</summary>
internal static class EscalationJobs
{
    /// <summary>The time one person had to take it is over; subject is the escalation's id.</summary>
    public const string AckDue = "ack-due";

    /// <summary>Somebody took it: tell the patient; subject is the escalation's id.</summary>
    public const string Taken = "escalation-taken";

    /// <summary>Taken, and the outcome is due; subject is the escalation's id.</summary>
    public const string OutcomeDue = "outcome-due";
}
