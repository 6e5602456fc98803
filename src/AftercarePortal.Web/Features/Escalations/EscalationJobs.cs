namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Kinds of jobs this feature stores.</summary>
internal static class EscalationJobs
{
    /// <summary>The time one person had to take it, or to confirm it, is over; subject is the escalation's id and the paging round.</summary>
    public const string AckDue = "ack-due";

    /// <summary>Somebody took it, or confirmed it after it was raised: tell the patient; subject is the escalation's id.</summary>
    public const string Taken = "escalation-taken";

    /// <summary>Reading a message was given up: somebody looks at its words as they are; subject is the message's id.</summary>
    public const string Unread = "message-unread";

    /// <summary>Taken, and the outcome is due; subject is the escalation's id and which wait it is (<c>Timer.Subject</c>).</summary>
    public const string OutcomeDue = "outcome-due";
}
