using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>One link of the chain of events, as the report page shows it.</summary>
/// <param name="When">On the clinic's wall clock.</param>
/// <param name="What">What happened, and to whom.</param>
/// <param name="Sent">What went out by it and how it fared, a line each.</param>
/// <param name="Words">What was written to the patient, or null.</param>
/// <param name="IsBad">Something a person should look at.</param>
internal sealed record ChainLink(Instant At, string When, string What, IReadOnlyList<string> Sent, string? Words, bool IsBad);
