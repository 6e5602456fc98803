using System.Diagnostics;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Staff;
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
    private const int MostLines = 40, MostDrawn = 12, MostPatients = 50;

    /// <summary>Part of a name or number of the patient who is looked for, as typed.</summary>
    [BindProperty] public string? Wanted { get; set; }

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
    /// <summary>Why a lot that had been recalled was given, as typed.</summary>
    [BindProperty] public string? RecalledWhy { get; set; }
    /// <summary>Why it is signed though no consent stood, as chosen.</summary>
    [BindProperty] public string? NoConsent { get; set; }
    /// <summary>More of that, as typed.</summary>
    [BindProperty] public string? NoConsentWords { get; set; }
    /// <summary>Not signed yet: no consent stood, and nobody said why it is signed all the same.</summary>
    public bool AsksWhyNoConsent { get; private set; }
    /// <summary>Recalls of lots that stand in the form.</summary>
    public IReadOnlyList<RecallRow> Recalled { get; private set; } = [];
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
    /// <summary>There are more than the page lists.</summary>
    public bool MorePatients { get; private set; }
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

    /// <summary>Why no consent stood on the day of treatment; null: one did.</summary>
    public string? ConsentGap { get; private set; }

    /// <summary>What the amount of a line is asked in, with its product where that is chosen.</summary>
    /// <param name="at">Place of the line, from 0; what is empty may be as in the line before.</param>
    public string AmountAsked(int at)
    {
        while (at > 0 && string.IsNullOrEmpty(Lines[at].Product) && Lines[at].Same) at--;
        return ProductClassNames.Parse(Lines[at].Product) switch
        {
            null => "Amount in mL (botulinum toxin type A: units)",
            ProductClass.BotulinumToxinTypeA => $"Amount in units of {ProductClass.BotulinumToxinTypeA.Name()}",
            { } product => $"Amount in mL of {product.Name()}",
        };
    }

    /// <summary>Everything that stands in the form, as drafts keep it.</summary>
    public RecordForm Form => new(RecordId, Seen, TreatedOn, Lines, Drawn, Events, PlanId, TouchUpOf, RecalledWhy, NoConsent, NoConsentWords);

    public async Task<IActionResult> OnGetAsync(Guid? id)
    {
        if (id is not { } patient)
        {
            await Find();
            return Page();
        }

        if (await drafts.Of(patient, User.StaffId) is { } draft)
        {
            Fill(draft.Form);
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

    /// <summary>Looks for a patient; posted, so that no name stands in an address.</summary>
    public async Task<IActionResult> OnPostFindAsync()
    {
        await Find();
        return Page();
    }

    private async Task Find()
    {
        RecordId = Guid.Empty;
        var found = await db.Patients.AsNoTracking().FoundBy(Wanted, await db.ClinicNumber(HttpContext.RequestAborted), MostPatients + 1, HttpContext.RequestAborted);
        (Patients, MorePatients) = ([.. found.Take(MostPatients)], found.Count > MostPatients);
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
        Reasons = [.. SignRecord.Read(Form.Copy(), today, time.GetCurrentInstant()).Reasons, .. await db.TouchUpFaults(TouchUpOf, id, ReadTyped.Date(TreatedOn), HttpContext.RequestAborted), .. await RecallFaults()];
        Looked = Reasons.Count == 0;
        return await KeepAndShow(id, Lines.Count);
    }

    /// <summary>The treatment was stopped before the first deposit: lines without an amount are taken out, a lot that stands in them goes to what was drawn up. Nothing is signed.</summary>
    public async Task<IActionResult> OnPostStoppedAsync(Guid id)
    {
        if (await Today() is not { } today) return NotFound();
        ScanReading.Fill(Lines, ReadTyped.Date(TreatedOn) ?? today);              // before lines go: what is "as above" keeps the pack it meant
        foreach (var line in Lines.Where(l => string.IsNullOrWhiteSpace(l.Amount)))
        {
            // Of a scan that can be read in more than one way, the first is the whole as it was scanned.
            foreach (var lot in RecordForm.LotsOf(line).Take(string.IsNullOrWhiteSpace(line.Lot) ? 1 : 2).Where(lot => !Drawn.Exists(d => LotKey.Of(d.Lot ?? "") == LotKey.Of(lot))).ToList())
                Drawn.Insert(Drawn.FindLastIndex(d => !d.IsBlank) + 1, new() { Product = line.Product, Lot = lot });
        }

        Lines.RemoveAll(l => string.IsNullOrWhiteSpace(l.Amount));
        Said = Lines.Count > 0 ? "Placements with an amount were left as they are: they say that something was placed." : "Nothing was placed. Write what happened under the immediate events, and how much was drawn up of each lot that stands there.";
        return await KeepAndShow(id, Lines.Count);
    }

    /// <summary>Lot and expiry filled from what was scanned; nothing is signed.</summary>
    public async Task<IActionResult> OnPostScanAsync(Guid id)
    {
        if (await Today() is not { } today) return NotFound();
        Reasons = [.. ScanReading.Fill(Lines, ReadTyped.Date(TreatedOn) ?? today), .. await RecallFaults()];
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
        if (await drafts.Discard(Form, id, User.StaffId, User.Identity!.Name!)) return RedirectToPage(new { id });
        return await ShowAnew(id, "This draft is thrown away already.");
    }

    /// <summary>Takes a draft that was thrown away up again.</summary>
    public async Task<IActionResult> OnPostTakeUpAsync(Guid id, [FromForm] Guid thrown)
    {
        return await drafts.TakeUp(thrown, id, User.StaffId) switch
        {
            Drafts.TakenUp.Now => RedirectToPage(new { id }),
            Drafts.TakenUp.Before => await ShowAnew(id, "This draft is taken up already."),
            Drafts.TakenUp.AnotherBegun => await ShowAnew(id, "Not taken up: you have begun another draft of this patient since. Sign it or throw it away first."),
            Drafts.TakenUp.NotFound => NotFound(),
            _ => throw new UnreachableException(),
        };
    }

    private void Fill(RecordForm f) =>
        (RecordId, Seen, TreatedOn, Lines, Drawn, Events, PlanId, TouchUpOf, RecalledWhy, NoConsent, NoConsentWords) = (f.RecordId, f.Seen, f.TreatedOn, f.Lines, f.Drawn, f.Events, f.PlanId, f.TouchUpOf, f.RecalledWhy, f.NoConsent, f.NoConsentWords);

    // The page as if it were opened now, with a word on what was pressed.
    private Task<IActionResult> ShowAnew(Guid id, string said)
    {
        ModelState.Clear();
        Fill(new(Guid.Empty, 0, null, [], [], null));
        Said = said;
        return OnGetAsync(id);
    }

    public async Task<IActionResult> OnPostAsync(Guid id)
    {
        // Binding stops at the first gap; a line behind it must not be lost silently.
        if (HasGap("Lines", Lines.Count) || HasGap("Drawn", Drawn.Count)) return BadRequest();
        switch (await sign.Run(Form, id, User.Identity!.Name!, User.StaffId))
        {
            case SignRecord.Outcome.Signed: return RedirectToPage("Details", new { id = RecordId });
            case SignRecord.Outcome.NotFound: return NotFound();
            case SignRecord.Outcome.Refused refused:
                Reasons = refused.Reasons;
                return await KeepAndShow(id, Lines.Count);
            case SignRecord.Outcome.AsksWhyNoConsent:
                (Looked, AsksWhyNoConsent) = (true, true);
                return await KeepAndShow(id, Lines.Count);
            case SignRecord.Outcome.Meanwhile meanwhile:
                Meanwhile = meanwhile;
                Seen = await db.Treatments.Where(t => t.PatientId == id).MaxAsync(t => t.Number);
                return await KeepAndShow(id, Lines.Count);
            default: throw new UnreachableException();
        }
    }

    private async Task<IEnumerable<string>> RecallFaults() =>
        string.IsNullOrWhiteSpace(RecalledWhy) ? RecallWords.Against(await db.RecallsOf(Form.Lots(), HttpContext.RequestAborted)) : [];

    private bool HasGap(string list, int read) => Request.Form.Keys.Any(key =>
        key.StartsWith(list + "[", StringComparison.Ordinal) && !Enumerable.Range(0, read).Any(i => key.StartsWith($"{list}[{i}].", StringComparison.Ordinal)));

    private async Task<LocalDate?> Today() =>
        await db.Clinics.SingleOrDefaultAsync(c => c.Id == db.ClinicId) is { } clinic ? time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date : null;

    private async Task<IActionResult> KeepAndShow(Guid patient, int lines)
    {
        if (!await db.Patients.AnyAsync(p => p.Id == patient)) return NotFound();
        await LeaveSignedId();
        if (await drafts.Keep(Form, patient, User.StaffId, User.Identity!.Name!)) Reasons = [.. Reasons, "Another window of yours had kept a draft of another record of this patient. It is not lost: it stands among the drafts thrown away, to be taken up again."];
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
        Others = await drafts.OfOthers(patientId, User.StaffId);
        Thrown = await drafts.ThrownAway(patientId, User.StaffId);
        TouchUps = await db.TouchUpsFor(patientId, HttpContext.RequestAborted);
        Plan = await db.Plans.AsNoTracking().Include(p => p.Lines.OrderBy(l => l.Ordinal)).SingleOrDefaultAsync(p => p.Id == PlanId && p.PatientId == patientId);
        var filled = Form.Copy();
        if ((ReadTyped.Date(TreatedOn) ?? await Today()) is { } on) ScanReading.Fill(filled.Lines, on);
        Recalled = await db.RecallsOf(filled.Lots(), HttpContext.RequestAborted);
        var reading = new RecordReading(filled);
        Readable = reading.Placements.ToDictionary(p => p.Number, p => p.Placement);
        Prompts = content.Safety.For([.. Readable.Values.Select(p => p.Deposit)], touchUp: TouchUpOf is not null);
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
        var patient = await db.Patients.AsNoTracking().SingleAsync(p => p.Id == patientId, stop);
        if (patient.BornOn is null) missing.Add(("The date of birth of this patient is not known here; nobody under 18 is treated.", $"/Patients/Edit/{patientId}", "Write it down"));
        if (reading.Day is { } treated && patient.IsMinorOn(treated)) missing.Add(("This patient was under 18 on the day of treatment.", $"/Patients/Edit/{patientId}", "The patient's entry"));
        var today = await Today();
        var onDay = reading.Day ?? today;
        ConsentGap = onDay is { } on && today is { } now ? await db.ConsentWarning(patientId, on, now) : null;
        if (ConsentGap is { } gap) missing.Add((gap, $"/Consent/{patientId}", "Consent of this patient"));
        else if (onDay is { } then && await db.OldConsent(patientId, then, content.Consents) is { } old) missing.Add((old, $"/Consent/{patientId}", "Consent of this patient"));
        var latest = await db.LatestPlanOf(patientId, stop);
        if (latest is null) missing.Add(("No plan of this patient is kept here.", $"/Treatment/Plan/{patientId}", "Plan"));
        else if (!await db.PlanAcceptances.AnyAsync(a => a.PlanId == latest.Id, stop)) missing.Add(("The patient has not accepted the plan.", $"/Treatment/Plan/{patientId}", "Plan to hand over"));
        if (latest is not null && PlanId is not null && latest.Id != PlanId) missing.Add(($"The plan has changed since this record was begun: version {latest.Number}, by {latest.SavedBy}.", $"/Treatment/Plan/{patientId}", "Plan"));
        if (onDay is { } checkedOn && await db.KitCheckOf(patientId, checkedOn, stop) is null) missing.Add(($"The emergency kit was not checked for this patient {(checkedOn == today ? "today" : "on the day of treatment")}.", $"/Treatment/Plan/{patientId}/Kit", "Check the kit"));
        Missing = missing;
        if (reading.Day is { } day) Texts = await preview.Run(patientId, day, TouchUpOf, [.. Readable.Values.Select(p => p.ProductClass).Distinct()], stop);
    }
}
