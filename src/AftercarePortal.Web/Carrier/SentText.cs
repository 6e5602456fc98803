namespace AftercarePortal.Web.Carrier;

/// <summary>One of our texts as the carrier lists it.</summary>
/// <param name="Sid">The carrier's id.</param>
/// <param name="Status">What became of it, for example <c>sent</c>.</param>
/// <param name="ErrorCode">The carrier's error code; null: none.</param>
/// <param name="At">When the carrier took it, in whole seconds; null: it does not say.</param>
internal sealed record SentText(string Sid, string Status, int? ErrorCode, NodaTime.Instant? At);
