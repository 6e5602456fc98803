using System.Diagnostics;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>What an intake came to, as it was kept, and the form that sends it.</summary>
internal sealed class ResultModel(PortalDb db, OpenIntake open, SendIntake send, IntakeLimits limits) : IntakePage(open)
{
    [BindProperty] public string? Name { get; set; }
    /// <summary>As typed; without a country code that of the clinic is meant.</summary>
    [BindProperty] public string? Number { get; set; }
    /// <summary>The clinic may text this number.</summary>
    [BindProperty] public bool MayText { get; set; }

    public IntakeResult Result { get; private set; } = null!;
    /// <summary>The range after an examination, once the person was invited; else null.</summary>
    public PriceRange? Narrower { get; private set; }
    /// <summary>What was wrong with the form, or null.</summary>
    public SendIntake.Outcome.Refused? Wrong { get; private set; }
    /// <summary>Minutes to wait because too many were sent from here, or null.</summary>
    public int? Wait { get; private set; }
    /// <summary>What came after it had been sent and was not added, as a key of the page's words.</summary>
    [BindProperty(SupportsGet = true)] public string? Late { get; set; }
    /// <summary>That photos came too late, and that another name or number did.</summary>
    public const string PhotosLate = "late-photos", NameLate = "late-name";
    /// <summary>How many photos were added.</summary>
    public int Photos { get; private set; }
    /// <summary>Day it was sent on the clinic's calendar, in words; null: not sent yet.</summary>
    public string? SentOn => Opened.Intake.SubmittedAt is { } at ? DayOf(at) : null;
    /// <summary>Day on the clinic's calendar the private link opens it no more, in words.</summary>
    public string LinkEnds => DayOf(Opened.Intake.EndsAt);

    /// <summary>Findings of one kind shown at once; more open below them.</summary>
    public const int AtOnce = 4;

    /// <summary>Each kind with the key of its words, strongest first.</summary>
    public static IReadOnlyList<(FindingKind Kind, string Key)> KindsWithWords { get; } =
        [(FindingKind.ClearFirst, "clear-first"), (FindingKind.Wait, "wait"), (FindingKind.Discuss, "discuss")];

    /// <inheritdoc cref="KindsWithWords" />
    public IReadOnlyList<(FindingKind Kind, string Key)> Kinds => KindsWithWords;

    /// <summary>Which answer of the person a price waits for.</summary>
    public string NoPriceKey => Result.Answers.Any(a => a.LinkId == "wish-regions" && a.State is AnswerState.Answered) ? "no-price-yours" : "no-price-parts";

    public async Task<IActionResult> OnGetAsync(CancellationToken stop) => await Load(stop) ? Page() : GoOn();

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        Wait = Opened.Intake.SubmittedAt is null ? limits.MinutesToWait(IntakeLimits.Act.Send, Opened.Clinic.Id, HttpContext) : null;
        if (Wait is not null) return await Load(stop) ? Page() : GoOn();
        switch (await send.Run(Opened, Name, Number, MayText, stop))
        {
            case SendIntake.Outcome.Sent: return RedirectToPage("Result", new { Link });
            case SendIntake.Outcome.SentOtherwise: return AlreadySent(NameLate);
            case SendIntake.Outcome.NoResult: return GoOn();
            case SendIntake.Outcome.Refused refused:
                Wrong = refused;
                return await Load(stop) ? Page() : GoOn();
            default: throw new UnreachableException();
        }
    }

    private async Task<bool> Load(CancellationToken stop)
    {
        if (await Opened.CurrentResult(db, stop) is not { } result) return false;
        Result = result;
        if (Opened.Intake.NarrowerQuote is { } quote) Narrower = (await db.Quotes.AsNoTracking().SingleAsync(q => q.Id == quote, stop)).ShownRange();
        Photos = await db.IntakePhotos.CountAsync(p => p.IntakeId == Opened.Intake.Id, stop);
        return true;
    }

    private string DayOf(Instant at) => AnswerWords.OfDate(at.InZone(DateTimeZoneProviders.Tzdb[Opened.Clinic.Zone]).Date, Opened.Words);
}
