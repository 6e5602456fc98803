namespace AftercarePortal.Web.Features.Messages;

/// <summary>Kinds of jobs this feature stores. Some are done by features below it.</summary>
internal static class MessageJobs
{
    /// <summary>Read one patient's message; subject is the message's id. Done by Escalations.</summary>
    public const string Read = "read-message";

    /// <summary>Read words of a sent intake that hold a warning sign; subject is the message's id. Done by Escalations.</summary>
    public const string ReadIntake = "read-intake-words";

    /// <summary>Act on one text of a staff member; subject is the message's id. Done by Escalations.</summary>
    public const string StaffReply = "staff-reply";

    /// <summary>Send one outgoing text or call; subject is its id.</summary>
    public const string Send = "send-message";

    /// <summary>Fetch one file that came with a message; subject is the photo's id.</summary>
    public const string FetchMedia = "fetch-media";

    /// <summary>A file that came with a message was given up; subject is the message's id. Done by Escalations.</summary>
    public const string PhotoNotFetched = "photo-not-fetched";

    /// <summary>The carrier said an outgoing text did not arrive; subject is its id. Done by Escalations.</summary>
    public const string NotDelivered = "not-delivered";

    /// <summary>The carrier said an answer to a patient arrived; subject is the outgoing text's id. Done by Escalations.</summary>
    public const string Delivered = "reply-delivered";

    /// <summary>See whether the carrier ever said what became of a page; subject is the outgoing text's id.</summary>
    public const string HeardOf = "heard-of-page";
}
