using System.Diagnostics;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Everything about one intake, and the form that decides it.</summary>
internal sealed class DetailsModel(PortalDb db, DecideIntake decide, ReadAgain readAgain, LostLink lost, CloseQuestion closeQuestion, ContentLibrary content, ClinicClock clock, TimeProvider time) : PageModel
{
    [BindProperty] public int Seen { get; set; }
    [BindProperty] public Decision? Choice { get; set; }
    [BindProperty] public string? Until { get; set; }
    [BindProperty] public string? Reason { get; set; }
    [BindProperty] public string? Words { get; set; }
    /// <summary>Who sent the intake: a known patient's id, or <see cref="WhoSent.SomebodyNew"/>.</summary>
    [BindProperty] public string? Who { get; set; }
    /// <summary>Part of a name or number by which the sender is looked for.</summary>
    [BindProperty] public string? Wanted { get; set; }

    public IntakeRow Intake { get; private set; } = null!;
    public IntakeResult Result { get; private set; } = null!;
    /// <summary>Every answer written in words, in the order of the questions: a person reads them all.</summary>
    public IReadOnlyList<IntakeResult.ShownAnswer> OwnWords { get; private set; } = [];
    /// <summary>What the rules in force would say otherwise, or null when they say the same.</summary>
    public ReadAgain.Reading? Again { get; private set; }
    /// <summary>The range after the latest examination, or null.</summary>
    public PriceRange? Narrower { get; private set; }
    /// <summary>Whether something was found at the latest examination and no range can be said after it.</summary>
    public bool NoneAfter { get; private set; }
    public PageWords Say { get; } = content.Pages[PageWords.Languages[0]];
    public string SentOn { get; private set; } = "";
    public IReadOnlyList<DecisionRow> Decisions { get; private set; } = [];
    public ILookup<string, (OverrideRow Row, string At)> Overrides { get; private set; } = null!;
    /// <summary>Questions asked back, by number; <c>DoneAt</c>: when it was answered, or closed without an answer.</summary>
    public IReadOnlyList<(QuestionRow Row, string AskedAt, string DoneAt)> Questions { get; private set; } = [];
    /// <summary>Where all of them stand, for example <c>1 not answered yet; 2 answered, to be read</c>.</summary>
    public string AskedInShort => string.Join("; ", new (string Says, Func<QuestionRow, bool> Is)[]
    {
        ("answered, to be read", q => q is { Answer: not null, ReadAt: null }),
        ("not answered yet", q => q.IsOpen),
        ("answered and read", q => q is { Answer: not null, ReadAt: not null }),
        ("closed without an answer here", q => q is { Answer: null, ClosedAt: not null }),
    }.Select(stand => (stand.Says, Count: Questions.Count(q => stand.Is(q.Row)))).Where(stand => stand.Count > 0).Select(stand => $"{stand.Count} {stand.Says}"));
    /// <summary>Why a question is closed, as typed.</summary>
    [BindProperty] public string? ClosedWith { get; set; }
    /// <summary>Why a question was not closed, in words; null: nothing was wrong.</summary>
    public string? NotClosed { get; private set; }
    /// <summary>New private links, the latest first, with who made them; null who: texted.</summary>
    public IReadOnlyList<(string? By, string At)> NewLinks { get; private set; } = [];
    public IReadOnlyList<(VisitRow Row, string Starts)> Visits { get; private set; } = [];
    /// <summary>Who was named to treat, or null.</summary>
    public ToTreat? Treats { get; private set; }
    /// <summary>Who may have sent it, to be told apart by somebody of the clinic; empty once that is decided.</summary>
    public WhoSent.Candidates Known { get; private set; } = null!;
    /// <summary>Who sent it, as was decided last; null: not decided.</summary>
    public PatientRow? Sender { get; private set; }
    /// <summary>Names of the patients decisions speak of, by id.</summary>
    public IReadOnlyDictionary<Guid, string> NamesOfPatients { get; private set; } = new Dictionary<Guid, string>();
    public IReadOnlyList<string> Reasons { get; private set; } = [];
    /// <summary>Who decided since this page was opened, or null.</summary>
    public string? Meanwhile { get; private set; }

    public Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop) => Show(id, stop);

    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop)
    {
        switch (await decide.Run(id, Seen, Choice, Until, Reason, Words, Who, Wanted, User.Identity!.Name!, stop))
        {
            case DecideIntake.Outcome.Decided: return RedirectToPage("Details", new { id });
            case DecideIntake.Outcome.NotFound: return NotFound();
            case DecideIntake.Outcome.Meanwhile other:
                Meanwhile = other.By;
                return await Show(id, stop);
            case DecideIntake.Outcome.Refused refused:
                Reasons = refused.Reasons;
                return await Show(id, stop);
            default: throw new UnreachableException();
        }
    }

    /// <summary>Looks for the sender among all patients. Nothing is decided, and what was typed stays.</summary>
    public Task<IActionResult> OnPostFindAsync(Guid id, CancellationToken stop) => Show(id, stop);

    /// <summary>Somebody has read the answers to questions; they no longer wait in the queue.</summary>
    /// <param name="through">Number of the last question whose answer the page showed: one that came since was not read.</param>
    public async Task<IActionResult> OnPostReadAsync(Guid id, int through, CancellationToken stop)
    {
        var (now, person) = (time.GetCurrentInstant(), User.Identity!.Name!);
        await db.Questions.Where(q => q.IntakeId == id && q.Number <= through && q.Answer != null && q.ReadAt == null).ExecuteUpdateAsync(s => s.SetProperty(q => q.ReadBy, person).SetProperty(q => q.ReadAt, now), stop);
        return RedirectToPage("Details", null, new { id }, "asked");
    }

    /// <summary>Closes a question nobody answered here.</summary>
    /// <param name="number">Number of the question.</param>
    public async Task<IActionResult> OnPostCloseQuestionAsync(Guid id, int number, CancellationToken stop)
    {
        NotClosed = await closeQuestion.Run(id, number, ClosedWith, User.Identity!.Name!, stop);
        return NotClosed is null ? RedirectToPage("Details", null, new { id }, "asked") : await Show(id, stop);
    }

    /// <summary>The new private link, shown this once; null when none was made just now.</summary>
    public string? NewLink { get; private set; }

    /// <summary>Makes a new private link; the one before ends. It is shown on this answer alone and cannot be had again.</summary>
    public async Task<IActionResult> OnPostLinkAsync(Guid id, CancellationToken stop)
    {
        NewLink = await lost.Make(id, User.Identity!.Name!, stop);
        return await Show(id, stop);
    }

    /// <summary>A decision as it is named once it was made.</summary>
    public string NameOf(Decision decision) => decision switch { Decision.Accepted => "Invited to a consultation", Decision.Deferred => "Deferred", _ => "Declined" };

    /// <summary>What choosing it does, for the form.</summary>
    public string WhatItDoes(Decision decision) => decision switch
    {
        Decision.Accepted => "Invite to a consultation in person. Adds the person to the clinic's patients; clears nobody for treatment.",
        Decision.Deferred => "Defer until a day. The intake comes back to the queue then.",
        _ => "Decline, kindly.",
    };

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return NotFound();
        Intake = intake;
        Result = IntakeResult.FromJson((await db.LatestResultOf(id, stop))!.Json);
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        var asked = content.Shelf.For(Result.Questionnaire, LocalDatePattern.Iso.Parse(Result.On).Value).Rules.Questionnaire;
        OwnWords = [.. Result.Answers.Where(a => a.State is AnswerState.Answered && asked.Find(a.LinkId) is { Kind: QuestionKind.ShortText or QuestionKind.LongText })];
        SentOn = AnswerWords.OfDate(intake.SubmittedAt!.Value.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date, Say);
        Narrower = (await db.RangeAfterExamination(id, stop))?.ShownRange();
        NoneAfter = Narrower is null && await db.LatestExaminationOf(id, stop) is { HasFindings: true };
        var sender = await db.SenderOf(id, stop);
        Sender = await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == sender, stop);
        Known = Sender is null ? await db.KnownWith(intake, Wanted, without: null, stop) : new([], false);
        Treats = await ToTreat.Of(db, id, stop);
        Again = await readAgain.Run(intake, clinic, Result, stop);
        Decisions = await db.Decisions.AsNoTracking().Where(d => d.IntakeId == id).OrderBy(d => d.Number).ToListAsync(stop);
        var named = Decisions.Select(d => d.PatientId).ToList();
        NamesOfPatients = await db.Patients.AsNoTracking().Where(p => named.Contains(p.Id)).ToDictionaryAsync(p => p.Id, p => p.Name, stop);
        var overrides = new List<(OverrideRow Row, string At)>();
        foreach (var row in await db.Overrides.AsNoTracking().Where(o => o.IntakeId == id).OrderBy(o => o.Number).ToListAsync(stop)) overrides.Add((row, await clock.Say(row.DecidedAt)));
        Overrides = overrides.ToLookup(o => o.Row.RuleId);
        var questions = new List<(QuestionRow, string, string)>();
        foreach (var row in await db.Questions.AsNoTracking().Where(q => q.IntakeId == id).OrderBy(q => q.Number).ToListAsync(stop)) questions.Add((row, await clock.Say(row.AskedAt), (row.AnsweredAt ?? row.ClosedAt) is { } at ? await clock.Say(at) : ""));
        Questions = questions;
        var links = new List<(string?, string)>();
        foreach (var row in await db.NewLinks.AsNoTracking().Where(l => l.IntakeId == id).OrderByDescending(l => l.MadeAt).ThenByDescending(l => l.Id).ToListAsync(stop)) links.Add((row.MadeBy, await clock.Say(row.MadeAt)));
        NewLinks = links;
        var visits = new List<(VisitRow, string)>();
        foreach (var row in await db.Visits.AsNoTracking().Where(v => v.IntakeId == id).OrderBy(v => v.Number).ToListAsync(stop)) visits.Add((row, await clock.Say(row.StartsAt)));
        Visits = visits;
        return Page();
    }
}
