namespace AftercarePortal.Web.Carrier;

/// <summary>One message as the carrier lists it.</summary>
/// <param name="Sid">The carrier's id.</param>
/// <param name="From">Sender, usually E.164.</param>
/// <param name="To">Our number.</param>
/// <param name="Text">May be empty: a photo only, or blanked at the carrier.</param>
/// <param name="MediaCount">Pictures, 0 or more.</param>
internal sealed record ListedMessage(string Sid, string From, string To, string Text, int MediaCount)
{
    /// <summary>When the carrier received it, in whole seconds; null: now.</summary>
    public NodaTime.Instant? WrittenAt { get; init; }
}
