namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Which round of paging an escalation is in. A timer, a failed page or a PASS of an older round changes nothing.</summary>
internal static class PagingRound
{
    /// <summary>How many rounds there were, 0 or more.</summary>
    public static int Of(IEnumerable<EscalationEventRow> events) => events.Count(IsPaging);

    /// <summary>Which wait for an outcome it is in: each page and each reminder begins another, so that a spent timer does nothing twice.</summary>
    public static int OutcomeOf(IReadOnlyCollection<EscalationEventRow> events) => Of(events) + 1 + events.Count(e => e.What is EscalationEvent.Reminded);

    /// <summary>Whether the last round paged this one person alone: only then does their silence, PASS or dead number move it on.</summary>
    public static bool LastPagedOnly(IEnumerable<EscalationEventRow> events, string person) =>
        events.OrderBy(e => e.At).ThenBy(e => e.Id).LastOrDefault(IsPaging) is { What: EscalationEvent.Paged } last && last.Person == person;

    /// <summary>Whether the last round had to page everyone.</summary>
    public static bool LastReachedNobody(IEnumerable<EscalationEventRow> events) =>
        events.OrderBy(e => e.At).ThenBy(e => e.Id).LastOrDefault(IsPaging) is { What: not EscalationEvent.Paged };

    private static bool IsPaging(EscalationEventRow e) =>
        e.What is EscalationEvent.Paged or EscalationEvent.PagedEveryone or EscalationEvent.NobodyOnCall;
}

/// <summary>Subject of a timer's job: the escalation and the paging round it belongs to.</summary>
internal static class Timer
{
    public static string Subject(Guid escalation, int round) => $"{escalation}:{round}";

    public static (Guid Escalation, int Round) Read(string subject) =>
        subject.Split(':') is [var id, var round] ? (Guid.Parse(id), int.Parse(round)) : throw new FormatException("A timer's subject is escalation:round.");
}
