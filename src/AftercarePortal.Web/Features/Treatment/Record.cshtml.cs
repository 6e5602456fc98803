using System.Diagnostics;
using System.Security.Claims;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Treatment.Plan;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Write and sign a treatment record of one patient. What was typed is kept as a draft at every press of a button.</summary>
internal sealed class RecordModel(PortalDb db, SignRecord sign, Drafts drafts, PlanAgainstIntake against, AftercarePreview preview, ContentLibrary content, TimeProvider time) : PageModel
{
    private const int MostLines = 40, MostDrawn = 12;

    /// <summary>Id the record will have, given when the form was opened; all zeros: the page asks whose treatment it is.</summary>
    [BindProperty] public Guid RecordId { get; set; }
    /// <summary>How many records of the patient were signed when the form was opened, or when the page last told of another.</summary>
    [BindProperty] public int Seen { get; set; }
    /// <summary>Day of treatment, ISO date as typed.</summary>
    [BindProperty] public string? TreatedOn { get; set; }
    /// <summary>Placements as typed; blank ones do not count.</summary>
    [BindProperty] public List<PlacementForm> Lines { get; set; } = [];
    /// <summary>What was made ready, as typed; blank lines do not count.</summary>
    [BindProperty] public List<DrawnForm> Drawn { get; set; } = [];
    /// <summary>What happened during or right after it, up to 4000 letters.</summary>
    [BindProperty] public string? Events { get; set; }
    /// <summary>Version of the plan it was begun from; null: none.</summary>
    [BindProperty] public Guid? PlanId { get; set; }
    /// <summary>The record it touches up; null: a treatment of its own.</summary>
    [BindProperty] public Guid? TouchUpOf { get; set; }
    /// <summary>Earlier treatments of the patient that this one may touch up, the latest first.</summary>
    public IReadOnlyList<TouchUp.Candidate> TouchUps { get; private set; } = [];
    /// <summary>The plan the record was begun from, or null.</summary>
    public TreatmentPlanRow? Plan { get; private set; }
    /// <summary>What about consent, plan and kit is missing today, in words.</summary>
    public IReadOnlyList<(string Says, string Address, string Link)> Missing { get; private set; } = [];
    /// <summary>Nothing speaks against signing: the page shows everything once more, with the texts signing starts.</summary>
    public bool Looked { get; private set; }
    /// <summary>The texts signing would start; null: the day, or the product of every placement, cannot be read yet.</summary>
    public AftercarePreview.Preview? Texts { get; private set; }
    /// <summary>Every placement that can be read, by its place in the form.</summary>
    public IReadOnlyDictionary<int, Placement> Readable { get; private set; } = new Dictionary<int, Placement>();
    /// <summary>What was planned beside what can be read of the form; empty without a plan.</summary>
    public IReadOnlyList<PlannedAndUsed> Compared => Plan is { } plan ? PlannedAndUsed.Of([.. plan.Lines.Select(l => l.Deposit)], [.. Readable.Values.Select(p => p.Deposit)]) : [];
    public string PatientName { get; private set; } = "";
    public Guid PatientId { get; private set; }
    /// <summary>Whom a record can be written for; filled when the address names nobody.</summary>
    public IReadOnlyList<PatientRow> Patients { get; private set; } = [];
    /// <summary>What keeps the form from being signed, in words; empty: nothing does, or nobody looked.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];
    /// <summary>What the last press of a button did.</summary>
    public string? Said { get; private set; }
    /// <summary>The page asks whether the draft is to be thrown away.</summary>
    public bool AsksToThrow { get; private set; }
    /// <summary>Drafts of this patient that were thrown away and not taken up again, the latest first.</summary>
    public IReadOnlyList<Drafts.Thrown> Thrown { get; private set; } = [];
    /// <summary>The record somebody signed since the form was opened, for which this one was not signed; null: none.</summary>
    public SignRecord.Outcome.Meanwhile? Meanwhile { get; private set; }
    /// <summary>The signed record whose id this form carried; the form has a new id since.</summary>
    public (string By, Guid Id)? SignedAs { get; private set; }
    /// <summary>When the draft the page was opened from was kept last; null: it was opened from none.</summary>
    public Instant? DraftOf { get; private set; }
    /// <summary>What the patient's intake says about the products placed or planned beyond its own page.</summary>
    public PlanAgainstIntake.Reading AgainstIntake { get; private set; } = null!;
    /// <summary>Whether a draft of what the form shows is kept.</summary>
    public bool HasDraft { get; private set; }
    /// <summary>Full names of those who have begun a record of this patient, too, with when each kept it last; the earliest first.</summary>
    public IReadOnlyList<(string Name, Instant SavedAt)> Others { get; private set; } = [];
    /// <summary>What was placed of each lot against what was drawn up, as far as the form can be read.</summary>
    public IReadOnlyList<LotTotal> Totals { get; private set; } = [];
    /// <summary>What to think of with these placements; amounts beyond a cited protocol first.</summary>
    public IReadOnlyList<SafetyPrompt> Prompts { get; private set; } = [];
    /// <summary>What was made ready, as far as it can be read, with its diluent.</summary>
    public IReadOnlyList<DrawnUp> Dissolved { get; private set; } = [];
    /// <summary>The product classes, as people write them.</summary>
    public static IEnumerable<string> Products => Enum.GetValues<ProductClass>().Select(p => p.Name());
    /// <summary>Needles and cannulas to offer; any other may be typed.</summary>
    public IReadOnlyList<SafetyPrompt> Devices => content.Safety.Devices;

    /// <summary>What the plan expects where this line goes, or null.</summary>
    public string? PlannedFor(PlacementForm line) =>
        Plan?.Lines.FindAll(l => l.Region.ToString() == line.Region && l.Side.ToString() == line.Side && (string.IsNullOrEmpty(line.Product) || l.ProductClass.Name() == line.Product)) is { Count: > 0 } there
            ? string.Join(", ", there.Select(l => PlanWords.Amount(l.Hundredths / 100m, l.ProductClass)))
            : null;

    private string StaffId => User.FindFirstValue(ClaimTypes.NameIdentifier)!;
    /// <summary>Everything that stands in the form, as drafts keep it.</summary>
    public RecordForm Form => new(RecordId, Seen, TreatedOn, Lines, Drawn, Events, PlanId, TouchUpOf);

    public async Task<IActionResult> OnGetAsync(Guid? id)
    {
        if (id is not { } patient)
        {
            Patients = await db.Patients.AsNoTracking().OrderBy(p => p.Name).ToListAsync();
            return Page();
        }

        if (await drafts.Of(patient, StaffId) is { } draft)
        {
            (RecordId, Seen, TreatedOn, Lines, Drawn, Events, PlanId, TouchUpOf) = (draft.Form.RecordId, draft.Form.Seen, draft.Form.TreatedOn, draft.Form.Lines, draft.Form.Drawn, draft.Form.Events, draft.Form.PlanId, draft.Form.TouchUpOf);
            (DraftOf, HasDraft) = (draft.SavedAt, true);
            await LeaveSignedId();
            return await Show(patient, Lines.Count);
        }

        if (await Today() is not { } today) return NotFound();
        RecordId = Guid.CreateVersion7();
        Seen = await db.Treatments.Where(t => t.PatientId == patient).MaxAsync(t => (int?)t.Number) ?? 0;
        TreatedOn = LocalDatePattern.Iso.Format(today);
        if (await db.LatestPlanOf(patient, HttpContext.RequestAborted) is { } plan) BeginFrom(plan);
        return await Show(patient, Lines.Count);
    }

    // Where and what comes from the plan; how much was used is never filled in: a record says what was done.
    private void BeginFrom(TreatmentPlanRow plan)
    {
        PlanId = plan.Id;
        Lines = [.. plan.Lines.Select((l, i) => new PlacementForm { Region = l.Region.ToString(), Side = l.Side.ToString(), Product = l.ProductClass.Name(), Device = l.Device, Same = i > 0 && plan.Lines[i - 1].ProductClass == l.ProductClass })];
    }

    /// <summary>One more empty line; nothing is signed.</summary>
    public Task<IActionResult> OnPostMoreAsync(Guid id) => KeepAndShow(id, Lines.Count + 1);

    /// <summary>The draft is kept; nothing is signed.</summary>
    public Task<IActionResult> OnPostKeepAsync(Guid id)
    {
        Said = "Draft kept.";
        return KeepAndShow(id, Lines.Count);
    }

    /// <summary>Everything once more, with the texts it starts; or what keeps it from being signed. Nothing is signed.</summary>
    public async Task<IActionResult> OnPostLookAsync(Guid id)
    {
        if (HasGap("Lines", Lines.Count) || HasGap("Drawn", Drawn.Count)) return BadRequest();
        if (await Today() is not { } today) return NotFound();
        Reasons = [.. SignRecord.Read(Form.Copy(), today, time.GetCurrentInstant()).Reasons, .. await db.TouchUpFaults(TouchUpOf, id, ReadTyped.Date(TreatedOn), HttpContext.RequestAborted)];
        Looked = Reasons.Count == 0;
        return await KeepAndShow(id, Lines.Count);
    }

    /// <summary>Lot and expiry filled from what was scanned; nothing is signed.</summary>
    public async Task<IActionResult> OnPostScanAsync(Guid id)
    {
        if (await Today() is not { } today) return NotFound();
        Reasons = ScanReading.Fill(Lines, today);
        return await KeepAndShow(id, Lines.Count);
    }

    /// <summary>A tap on the face opens a placement there; nothing is signed.</summary>
    public async Task<IActionResult> OnPostFaceAsync(Guid id, [FromForm(Name = "Face.x")] int x, [FromForm(Name = "Face.y")] int y)
    {
        if (FaceMap.At(x, y) is not { } area)
        {
            Said = "That was outside all regions. Tap inside a frame, or choose the region in a line below.";
            return await KeepAndShow(id, Lines.Count);
        }

        var line = Lines.FindIndex(l => string.IsNullOrEmpty(l.Region) && string.IsNullOrEmpty(l.Side));
        if (line < 0 && Lines.Count < MostLines)
        {
            line = Lines.Count;
            Lines.Add(new() { Same = line > 0 });
        }

        Said = line < 0 ? $"A record has at most {MostLines} placements." : $"Placement {line + 1}: {Plain.Words(area.Region)}, {Plain.Words(area.Side)}.";
        if (line >= 0) (Lines[line].Region, Lines[line].Side) = (area.Region.ToString(), area.Side.ToString());
        return await KeepAndShow(id, Lines.Count);
    }

    /// <summary>Asks before the draft is thrown away; it is kept with all that was typed.</summary>
    public Task<IActionResult> OnPostDiscardAsync(Guid id)
    {
        AsksToThrow = true;
        return KeepAndShow(id, Lines.Count);
    }

    /// <summary>Throws the draft away, with all that was typed up to this press; it can be taken up again.</summary>
    public async Task<IActionResult> OnPostThrowAsync(Guid id)
    {
        if (HasGap("Lines", Lines.Count) || HasGap("Drawn", Drawn.Count)) return BadRequest();
        if (!await db.Patients.AnyAsync(p => p.Id == id)) return NotFound();
        if (await drafts.Discard(Form, id, StaffId, User.Identity!.Name!)) return RedirectToPage(new { id });
        return await ShowAnew(id, "This draft is thrown away already.");
    }

    /// <summary>Takes a draft that was thrown away up again.</summary>
    public async Task<IActionResult> OnPostTakeUpAsync(Guid id, [FromForm] Guid thrown)
    {
        return await drafts.TakeUp(thrown, id, StaffId) switch
        {
            Drafts.TakenUp.Now => RedirectToPage(new { id }),
            Drafts.TakenUp.Before => await ShowAnew(id, "This draft is taken up already."),
            Drafts.TakenUp.AnotherBegun => await ShowAnew(id, "Not taken up: you have begun another draft of this patient since. Sign it or throw it away first."),
            Drafts.TakenUp.NotFound => NotFound(),
            _ => throw new UnreachableException(),
        };
    }

    // The page as if it were opened now, with a word on what was pressed.
    private Task<IActionResult> ShowAnew(Guid id, string said)
    {
        ModelState.Clear();
        (RecordId, Seen, TreatedOn, Lines, Drawn, Events, PlanId, TouchUpOf) = (Guid.Empty, 0, null, [], [], null, null, null);
        Said = said;
        return OnGetAsync(id);
    }

    public async Task<IActionResult> OnPostAsync(Guid id)
    {
        // Binding stops at the first gap; a line behind it must not be lost silently.
        if (HasGap("Lines", Lines.Count) || HasGap("Drawn", Drawn.Count)) return BadRequest();
        switch (await sign.Run(Form, id, User.Identity!.Name!, StaffId))
        {
            case SignRecord.Outcome.Signed: return RedirectToPage("Details", new { id = RecordId });
            case SignRecord.Outcome.NotFound: return NotFound();
            case SignRecord.Outcome.Refused refused:
                Reasons = refused.Reasons;
                return await KeepAndShow(id, Lines.Count);
            case SignRecord.Outcome.Meanwhile meanwhile:
                Meanwhile = meanwhile;
                Seen = await db.Treatments.Where(t => t.PatientId == id).MaxAsync(t => t.Number);
                return await KeepAndShow(id, Lines.Count);
            default: throw new UnreachableException();
        }
    }

    private bool HasGap(string list, int read) => Request.Form.Keys.Any(key =>
        key.StartsWith(list + "[", StringComparison.Ordinal) && !Enumerable.Range(0, read).Any(i => key.StartsWith($"{list}[{i}].", StringComparison.Ordinal)));

    private async Task<LocalDate?> Today() =>
        await db.Clinics.SingleOrDefaultAsync(c => c.Id == db.ClinicId) is { } clinic ? time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date : null;

    private async Task<IActionResult> KeepAndShow(Guid patient, int lines)
    {
        if (!await db.Patients.AnyAsync(p => p.Id == patient)) return NotFound();
        await LeaveSignedId();
        await drafts.Keep(Form, patient, StaffId, User.Identity!.Name!);
        HasDraft = true;
        ModelState.Clear();                                                        // what was filled in shows, not what was posted
        return await Show(patient, lines);
    }

    // Kept under the id of a signed record, what is typed here would pass for that record and be lost. What was seen stays, so that signing asks once more.
    private async Task LeaveSignedId()
    {
        if (await db.Treatments.AsNoTracking().SingleOrDefaultAsync(t => t.Id == RecordId) is not { } signed) return;
        (SignedAs, RecordId) = ((signed.SignedBy, signed.Id), Guid.CreateVersion7());
    }

    private async Task<IActionResult> Show(Guid patientId, int lines)
    {
        if (await db.Patients.SingleOrDefaultAsync(p => p.Id == patientId) is not { } patient) return NotFound();
        (PatientName, PatientId) = (patient.Name, patient.Id);
        Others = await drafts.OfOthers(patientId, StaffId);
        Thrown = await drafts.ThrownAway(patientId, StaffId);
        TouchUps = await db.TouchUpsFor(patientId, HttpContext.RequestAborted);
        Plan = await db.Plans.AsNoTracking().Include(p => p.Lines.OrderBy(l => l.Ordinal)).SingleOrDefaultAsync(p => p.Id == PlanId && p.PatientId == patientId);
        var filled = Form.Copy();
        if (await Today() is { } now) ScanReading.Fill(filled.Lines, now);
        var reading = new RecordReading(filled);
        Readable = reading.Placements.ToDictionary(p => p.Number, p => p.Placement);
        Prompts = content.Safety.For([.. Readable.Values.Select(p => p.Deposit)]);
        AgainstIntake = await against.Run(patientId, Readable.Values.Select(p => p.Deposit.ProductClass).ToHashSet(), HttpContext.RequestAborted);
        (Totals, Dissolved) = (LotTotal.Of([.. Readable.Values], reading.Drawn), reading.Drawn);
        await Look(patientId, reading);
        while (!Looked && Lines.Count < Math.Clamp(lines, 1, MostLines)) Lines.Add(new() { Same = Lines.Count > 0 });
        if (Looked) return Page();
        while (Drawn.Count < MostDrawn && (Drawn.Count < 2 || !Drawn[^1].IsBlank)) Drawn.Add(new());
        return Page();
    }

    private async Task Look(Guid patientId, RecordReading reading)
    {
        var stop = HttpContext.RequestAborted;
        var missing = new List<(string, string, string)>();
        if (await Today() is { } onThisDay && await db.ConsentWarning(patientId, onThisDay) is { } consent) missing.Add((consent, $"/Consent/{patientId}", "Consent of this patient"));
        var latest = await db.LatestPlanOf(patientId, stop);
        if (latest is null) missing.Add(("No plan of this patient is kept here.", $"/Treatment/Plan/{patientId}", "Plan"));
        else if (!await db.PlanAcceptances.AnyAsync(a => a.PlanId == latest.Id, stop)) missing.Add(("The patient has not accepted the plan.", $"/Treatment/Plan/{patientId}", "Plan to hand over"));
        if (latest is not null && PlanId is not null && latest.Id != PlanId) missing.Add(($"The plan has changed since this record was begun: version {latest.Number}, by {latest.SavedBy}.", $"/Treatment/Plan/{patientId}", "Plan"));
        if (await Today() is { } today && await db.KitCheckOf(patientId, today, stop) is null) missing.Add(("The emergency kit was not checked for this patient today.", $"/Treatment/Plan/{patientId}/Kit", "Check the kit"));
        Missing = missing;
        if (reading.Day is { } day) Texts = await preview.Run(patientId, day, [.. Readable.Values.Select(p => p.ProductClass).Distinct()], stop);
    }
}
