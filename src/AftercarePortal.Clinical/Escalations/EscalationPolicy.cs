using AftercarePortal.Clinical.Sources;
using AftercarePortal.Clinical.Triage;
using NodaTime;

namespace AftercarePortal.Clinical.Escalations;

/// <summary>One published version of the escalation policy: who is paged when, until somebody takes it.</summary>
/// <param name="Version">The file that says so.</param>
/// <param name="Times">Times by tier; every tier above routine has them.</param>
public sealed record EscalationPolicy(ContentVersion Version, IReadOnlyDictionary<Tier, TierTimes> Times)
{
    /// <summary>How long somebody has to take a test page.</summary>
    public Duration TestPageWithin { get; init; } = Duration.FromMinutes(10);

    /// <summary>What to do next. Decides only: the caller keeps the steps and carries them out.</summary>
    /// <returns>Steps in order. While nobody has taken it and it is above routine there is always one with a due instant.</returns>
    public IReadOnlyList<NextStep> Next(EscalationState state, Happening happening, OnCall onCall, Instant now)
    {
        if (state.Closed || !Times.TryGetValue(state.Tier, out var times)) return [];
        return (state.TakenBy, happening) switch
        {
            // Whoever has it can be paged no more, let go for one: nothing would reach anybody until the outcome is due, so it is given back now.
            ({ } taker, Happening.Reported or Happening.TakerNotReached or Happening.OutcomeIsDue) when !onCall.Everyone.Contains(taker) => GiveBack(onCall, times, now),
            // Whoever has it may be with the patient, or gone: asked anew, and somebody else is paged when they do not confirm.
            ({ } taker, Happening.Reported { Raised: true } or Happening.Reported { NewSigns: true }) =>
                [new NextStep.AskTaker(taker, times.Voice, now + times.WaitAfterPage(1), now + times.OutcomeWithin)],
            // What they were told did not arrive: asked by every way there is, as when it gets worse. Said only while nothing they were asked is open.
            ({ } taker, Happening.TakerNotReached) => [new NextStep.AskTaker(taker, Voice: true, now + times.WaitAfterPage(1), now + times.OutcomeWithin)],
            ({ }, Happening.NotConfirmed) =>
                [new NextStep.TakeBack(), .. PageNext(state, onCall, times, now).Where(step => step is not NextStep.TellPatientNobodyYet), new NextStep.TellPatientReopened()],
            ({ } taker, Happening.OutcomeIsDue) when state.Reminders < times.Reminders => [new NextStep.Remind(taker, now + times.NextAfter)],
            // Who took it has gone silent, or gives it back: everyone may take it over, and the patient, who was told that somebody has it, hears the truth.
            ({ }, Happening.OutcomeIsDue or Happening.GivenBack) => GiveBack(onCall, times, now),
            ({ }, Happening.Taken) => [new NextStep.TellPatientTaken(now + times.OutcomeWithin)],
            ({ } taker, Happening.Reported) => [new NextStep.TellTaker(taker)],
            ({ }, _) => [],
            (null, Happening.Reported { Raised: false } or Happening.TakerNotReached) => [],
            (null, Happening.Reported) when state.Paged.Count > 0 => PageWorse(state, onCall, times, now),
            _ => PageNext(state, onCall, times, now),
        };
    }

    private static IReadOnlyList<NextStep> GiveBack(OnCall onCall, TierTimes times, Instant now) =>
        [new NextStep.Reopen(), new NextStep.PageEveryone(onCall.Everyone, now + times.AllAgainAfter), new NextStep.TellPatientReopened()];

    // Worse, and nobody has it: the next is asked at once and who was asked before anew, and nobody has longer for that than they had.
    private static IReadOnlyList<NextStep> PageWorse(EscalationState state, OnCall onCall, TierTimes times, Instant now)
    {
        var next = PageNext(state, onCall, times, now);
        if (next is not [NextStep.Page { LookAgainAt: var again }, ..]) return next;
        var lookAgainAt = state.LookAgainAt is { } due && due > now && due < again ? due : next.Cast<NextStep.Page>().Max(p => p.LookAgainAt);
        return
        [
            .. state.Paged.Where(person => onCall.Everyone.Contains(person)).Select(person => new NextStep.Page(person, times.Voice, lookAgainAt)),
            .. next.Cast<NextStep.Page>().Select(page => page with { LookAgainAt = lookAgainAt }),
        ];
    }

    private static IReadOnlyList<NextStep> PageNext(EscalationState state, OnCall onCall, TierTimes times, Instant now)
    {
        if (state.Paged.Count < times.AloneAtMost && onCall.NextAfter(state.Paged) is [.., var last] next && !onCall.IsDoubtful(last))
            return [.. next.Select(person => new NextStep.Page(person, times.Voice, now + times.WaitAfterPage(state.Paged.Count + next.Count)))];
        // Enough were asked one by one, or nobody is left whom pages are known to reach: everyone, again and again, and the patient hears the truth.
        return [new NextStep.PageEveryone(onCall.Everyone, now + times.AllAgainAfter), new NextStep.TellPatientNobodyYet()];
    }
}

/// <summary>Times of one tier.</summary>
/// <param name="NextAfter">How long one person has to take it before the next is paged.</param>
/// <param name="AllAgainAfter">How long until everyone is paged again.</param>
/// <param name="OutcomeWithin">How long after taking it an outcome is due.</param>
/// <param name="Voice">Whether a call goes out beside the text.</param>
/// <param name="AloneAtMost">How many people are paged one by one, 1 or more, before everyone is.</param>
/// <param name="LastAloneAfter">How long the last of those has; null: as long as the others.</param>
/// <param name="Reminders">How often the taker is reminded of the outcome, each time <paramref name="NextAfter"/> later, before it is reopened; 0 or more.</param>
public sealed record TierTimes(
    Duration NextAfter, Duration AllAgainAfter, Duration OutcomeWithin, bool Voice, int AloneAtMost = 2, Duration? LastAloneAfter = null, int Reminders = 1)
{
    /// <summary>How long the person paged as number <paramref name="nth"/>, from 1, has to take it.</summary>
    public Duration WaitAfterPage(int nth) => nth >= AloneAtMost && LastAloneAfter is { } last ? last : NextAfter;
}

/// <summary>Where one escalation stands.</summary>
/// <param name="Tier">Only rises.</param>
/// <param name="Paged">People paged since it was opened or reopened, or got worse after it was taken, each once, in order.</param>
/// <param name="TakenBy">Who has it, or null.</param>
/// <param name="Reminders">How often the taker was reminded of the outcome.</param>
/// <param name="Closed">Closed with an outcome.</param>
public sealed record EscalationState(Tier Tier, IReadOnlyList<string> Paged, string? TakenBy, int Reminders, bool Closed)
{
    /// <summary>When whoever was paged last has had their time; null: nobody was, it is over, or the report did not get worse. Only a report that got worse asks.</summary>
    public Instant? LookAgainAt { get; init; }
}

/// <summary>Who is on call.</summary>
/// <param name="InOrder">First to be paged first; may be empty.</param>
/// <param name="Everyone">All who can be paged; may be empty, which is an alarm of its own.</param>
/// <param name="Doubtful">Those whom pages may not reach: a test page was not taken, or the number gave trouble. Null: nobody.</param>
public sealed record OnCall(IReadOnlyList<string> InOrder, IReadOnlyList<string> Everyone, IReadOnlyList<string>? Doubtful = null)
{
    /// <summary>Whether pages may not reach this person.</summary>
    public bool IsDoubtful(string person) => Doubtful?.Contains(person) is true;

    /// <summary>Whom to page next, all at once: the first on call who was not paged yet; after somebody doubtful also the one behind. Empty: nobody is left.</summary>
    public IReadOnlyList<string> NextAfter(IReadOnlyList<string> paged)
    {
        var left = InOrder.Where(person => !paged.Contains(person)).ToList();
        var sure = left.FindIndex(person => !IsDoubtful(person));
        return sure < 0 ? left : left[..(sure + 1)];
    }
}

/// <summary>What happened to an escalation.</summary>
public abstract record Happening
{
    private Happening() { }

    /// <summary>A message opened it or joined it; <paramref name="Raised"/>: it is new, or its tier rose; <paramref name="NewSigns"/>: it holds a warning sign not written before.</summary>
    public sealed record Reported(bool Raised, bool NewSigns = false) : Happening;

    /// <summary>The time one person had is over, or the page did not reach them, or they passed it on.</summary>
    public sealed record NobodyTookIt : Happening;

    /// <summary>Somebody took it, or confirmed after it was raised that they have it.</summary>
    public sealed record Taken : Happening;

    /// <summary>Raised after somebody took it, and they did not confirm in their time.</summary>
    public sealed record NotConfirmed : Happening;

    /// <summary>A text to who has it, that the patient wrote again or is to be rung, did not arrive.</summary>
    public sealed record TakerNotReached : Happening;

    /// <summary>Who took it passes it on.</summary>
    public sealed record GivenBack : Happening;

    /// <summary>Taken, and no outcome by its time.</summary>
    public sealed record OutcomeIsDue : Happening;
}

/// <summary>What to do next.</summary>
public abstract record NextStep
{
    private NextStep() { }

    /// <summary>Page one person; look again at <paramref name="LookAgainAt"/>.</summary>
    public sealed record Page(string Person, bool Voice, Instant LookAgainAt) : NextStep;

    /// <summary>Page whoever has it, who confirms by taking it again until <paramref name="ConfirmBy"/>; the outcome is now due at <paramref name="OutcomeDueAt"/>.</summary>
    public sealed record AskTaker(string Person, bool Voice, Instant ConfirmBy, Instant OutcomeDueAt) : NextStep;

    /// <summary>Nobody has it any more: whoever had it did not confirm. Who was paged since it was raised counts on.</summary>
    public sealed record TakeBack : NextStep;

    /// <summary>Page everyone by text and voice; look again at <paramref name="LookAgainAt"/>.</summary>
    public sealed record PageEveryone(IReadOnlyList<string> People, Instant LookAgainAt) : NextStep;

    /// <summary>Tell the patient that somebody has it; the outcome is due at <paramref name="OutcomeDueAt"/>.</summary>
    public sealed record TellPatientTaken(Instant OutcomeDueAt) : NextStep;

    /// <summary>Tell the patient the truth: nobody has answered yet, and which number to ring.</summary>
    public sealed record TellPatientNobodyYet : NextStep;

    /// <summary>Tell the patient the truth: who took it has gone silent, everyone is asked, and which number to ring.</summary>
    public sealed record TellPatientReopened : NextStep;

    /// <summary>Remind the taker that the outcome is due.</summary>
    public sealed record Remind(string Person, Instant LookAgainAt) : NextStep;

    /// <summary>Tell the taker that the patient has written again; the time for the outcome does not move.</summary>
    public sealed record TellTaker(string Person) : NextStep;

    /// <summary>Take it back from its taker.</summary>
    public sealed record Reopen : NextStep;
}
