using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment.Plan;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <content>What the page shows beside the form.</content>
internal sealed partial class RecordModel
{
    private const int MostLines = 40, MostDrawn = 12;

    /// <summary>Not signed yet: no consent stood, and nobody said why it is signed all the same.</summary>
    public bool AsksWhyNoConsent { get; private set; }
    /// <summary>Recalled lots that stand in the form, and lots that may be one.</summary>
    public IReadOnlyList<RecalledHere> Recalled { get; private set; } = [];
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
        Recalled = await RecalledHere.In(filled, db, HttpContext.RequestAborted);
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
