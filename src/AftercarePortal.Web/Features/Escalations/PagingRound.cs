using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Which round of paging an escalation is in. A timer, a failed page or a PASS of an older round changes nothing.</summary>
internal static class PagingRound
{
    /// <summary>How many rounds there were, 0 or more.</summary>
    public static int Of(IEnumerable<EscalationEventRow> events) => events.Count(IsPaging);

    /// <summary>Which wait for an outcome it is in: each page and each reminder begins another, so that a spent timer does nothing twice.</summary>
    public static int OutcomeOf(IReadOnlyCollection<EscalationEventRow> events) => Of(events) + 1 + events.Count(e => e.What is EscalationEvent.Reminded);

    /// <summary>Index of the event from which on pages count for who is next: it was opened or reopened, or got worse while somebody had it, and it is asked anew.</summary>
    /// <remarks>Worse while nobody has it asks nobody later: who was asked before counts on.</remarks>
    public static int Began(IReadOnlyList<EscalationEventRow> inOrder)
    {
        var (began, held) = (0, false);
        for (var i = 0; i < inOrder.Count; i++)
        {
            var what = inOrder[i].What;
            if (what is EscalationEvent.Opened or EscalationEvent.Reopened || (held && what is EscalationEvent.Raised or EscalationEvent.NewSigns or EscalationEvent.TakerNotReached)) began = i;
            held = what is EscalationEvent.Taken || (held && what is not (EscalationEvent.Reopened or EscalationEvent.NotConfirmed));
        }

        return began;
    }

    /// <summary>Whether the last round paged this one person alone: only then does their silence, PASS or dead number move it on.</summary>
    public static bool LastPagedOnly(IEnumerable<EscalationEventRow> events, string person) =>
        events.InOrder().LastOrDefault(IsPaging) is { What: EscalationEvent.Paged } last && last.Person == person;

    /// <summary>Whether the last round had to page everyone.</summary>
    public static bool LastReachedNobody(IEnumerable<EscalationEventRow> events) =>
        events.InOrder().LastOrDefault(IsPaging) is { What: not EscalationEvent.Paged };

    /// <summary>Whether somebody took it, or said that they know, after this round asked. A round there never was asked nothing.</summary>
    public static bool IsAnswered(IEnumerable<EscalationEventRow> events, int round)
    {
        var inOrder = events.InOrder().ToList();
        var asked = inOrder.FindIndex(e => IsPaging(e) && --round == 0);
        return asked < 0 || inOrder.Skip(asked).Any(e => e.What is EscalationEvent.Taken or EscalationEvent.Confirmed);
    }

    /// <summary>When what waits now was asked of somebody. What they wrote before answers nothing.</summary>
    /// <param name="confirmRound">The round whoever has it is to confirm; null: nobody has it, and it was asked since it last was nobody's.</param>
    /// <remarks>Taken back because they did not confirm in their time: what they wrote after they were last asked comes late, and is meant.</remarks>
    public static Instant AskedAt(IEnumerable<EscalationEventRow> events, int? confirmRound, string person)
    {
        var inOrder = events.InOrder().ToList();
        if (confirmRound is { } round) return inOrder.Where(IsPaging).ElementAt(round - 1).At;
        var free = inOrder.FindLastIndex(e => e.What is EscalationEvent.Opened or EscalationEvent.Reopened or EscalationEvent.NotConfirmed);
        return (inOrder[free] is { What: EscalationEvent.NotConfirmed } taken && taken.Person == person ? inOrder.Take(free).LastOrDefault(e => e.What is EscalationEvent.Paged && e.Person == person) : null)?.At ?? inOrder[free].At;
    }

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
