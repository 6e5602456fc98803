using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Everything that is kept of one patient, each a tap away: records and drafts, the aftercare plan with what was sent, consents, reports, intakes.</summary>
internal sealed class PatientModel(PortalDb db, ContentLibrary content, TimeProvider time) : PageModel
{
    /// <param name="Says">What it is, in words.</param>
    /// <param name="Standing">How it stands; empty: nothing to say.</param>
    public sealed record Line(string Address, string Says, string Standing);

    /// <summary>One step of the plan.</summary>
    /// <param name="When">The clinic's date and time it was, or is, due.</param>
    /// <param name="Words">What went out, or would go out now.</param>
    /// <param name="Standing">What became of it, in words.</param>
    public sealed record Step(string When, string Words, string Standing);

    public PatientRow Patient { get; private set; } = null!;
    /// <summary>The number's last word was STOP, or that it is somebody else's.</summary>
    public bool Stopped { get; private set; }
    /// <summary>What it wrote where that it is somebody else's alone keeps texts from it; null: nothing, or STOP.</summary>
    public string? SaidWrongNumber { get; private set; }
    /// <summary>Signed records, whether they hold or not, the latest day first.</summary>
    public IReadOnlyList<Line> Records { get; private set; } = [];
    /// <summary>Drafts of whoever began one, the oldest first.</summary>
    public IReadOnlyList<Line> Drafts { get; private set; } = [];
    /// <summary>Still to come, the next first.</summary>
    public IReadOnlyList<Step> ToCome { get; private set; } = [];
    /// <summary>What went out, or did not when it was due, the latest first.</summary>
    public IReadOnlyList<Step> SoFar { get; private set; } = [];
    /// <summary>What will not go on a day still to come, the next first.</summary>
    public IReadOnlyList<Step> GoesNoMore { get; private set; } = [];
    /// <summary>Signed consents, the latest first.</summary>
    public IReadOnlyList<Line> Consents { get; private set; } = [];
    /// <summary>Open and closed reports, the latest first.</summary>
    public IReadOnlyList<Line> Reports { get; private set; } = [];
    /// <summary>Intakes that were decided for this patient, the latest first.</summary>
    public IReadOnlyList<Line> Intakes { get; private set; } = [];

    public async Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is not { } row) return NotFound();
        Patient = row;
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == row.ClinicId, stop);
        var (now, zone) = (time.GetCurrentInstant(), DateTimeZoneProviders.Tzdb[clinic.Zone]);
        string Say(Instant at) => Plain.Time(at.InZone(zone));
        Stopped = await db.HasStopped(row.Number, stop);
        if (await db.WrongNumberOf(row.Number, stop) is { } said) SaidWrongNumber = await db.Messages.Where(m => m.Id == said.MessageId).Select(m => m.Text).SingleOrDefaultAsync(stop) ?? "";
        Records = [.. (await db.WholeRecords().Where(t => t.PatientId == patient).ToListAsync(stop)).OrderByDescending(t => t.TreatedOn).ThenByDescending(t => t.Number).Select(Of)];
        Drafts =
        [
            .. (await db.TreatmentDrafts.AsNoTracking().Where(d => d.PatientId == patient).OrderBy(d => d.SavedAt).ToListAsync(stop))
                .Select(d => new Line($"/Treatment/Record/{patient}", $"Draft of {d.StaffName}", $"last kept {Say(d.SavedAt)}; nobody signed it: no texts, no recall")),
        ];
        await LoadSteps(row, clinic, Say, now, stop);
        var today = now.InZone(zone).Date;
        Consents =
        [
            .. (await db.Consents.AsNoTracking().Where(c => c.PatientId == patient).OrderByDescending(c => c.SignedAt).ToListAsync(stop))
                .Select(c => new Line($"/Consent/Signed/{c.Id}", $"{c.Title}, version {c.Version}, signed {Say(c.SignedAt)}", Words(c.On(today)))),
        ];
        Reports =
        [
            .. (await db.Escalations.AsNoTracking().Where(e => e.PatientId == patient || (e.PatientId == null && !e.FromIntake && e.Number == row.Number)).OrderByDescending(e => e.OpenedAt).ToListAsync(stop))
                .Select(e => new Line($"/Escalations/{e.Id}", $"{Say(e.OpenedAt)}, {e.Tier.Name()}{(e.PatientId is null ? ", of this number; whose it is was not known" : "")}", e.ClosedAt is { } closed ? $"closed {Say(closed)}: {e.Outcome}" : e.TakenBy is null ? "open, nobody has taken it" : "open, taken")),
        ];
        var decided = await db.Decisions.AsNoTracking().Where(d => d.PatientId != null && db.Set<DecisionRow>().Any(o => o.IntakeId == d.IntakeId && o.PatientId == patient)).OrderByDescending(d => d.Number).ToListAsync(stop);
        Intakes =
        [
            .. decided.DistinctBy(d => d.IntakeId).Where(d => d.PatientId == patient).OrderByDescending(d => d.DecidedAt)
                .Select(d => new Line($"/Review/{d.IntakeId}", $"Intake decided {Say(d.DecidedAt)} by {d.DecidedBy}", "")),
        ];
        return Page();
    }

    /// <summary>The number is the patient's after all: care texts go on. A STOP holds, and is only ended by START from that phone.</summary>
    public async Task<IActionResult> OnPostTextsGoOnAsync(Guid patient, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is not { } row) return NotFound();
        if (await db.WrongNumberOf(row.Number, stop) is { } said)
        {
            // As of that text, so that any STOP written after it outranks this.
            db.Add(new OptOutRow { ClinicId = said.ClinicId, Number = said.Number, MessageId = said.MessageId, Stopped = false, IsWrongNumber = true, At = said.At, LetGoOnBy = User.Identity!.Name! });
            await db.SaveChangesAsync(stop);
        }

        return RedirectToPage(new { patient });
    }

    private static Line Of(TreatmentRow signed)
    {
        var right = signed.AsPutRight();
        var what = signed.WasStopped ? "Stopped before anything was placed" : string.Join("; ", right.Placements.GroupBy(p => p.ProductClass).Select(g => $"{g.Key.Name()}: {string.Join(", ", g.Select(p => $"{Plain.Words(p.Region)} {Plain.Words(p.Side)}").Distinct())}"));
        var standing = signed.WhyNot ?? (signed.Addenda.Count > 0 ? $"{signed.Addenda.Count} {(signed.Addenda.Count == 1 ? "addendum" : "addenda")}" : "");
        return new($"/Treatment/{signed.Id}", $"{Plain.Day(right.TreatedOn)}{(signed.TouchUpOf is null ? "" : ", touch-up")}, signed by {signed.SignedBy}. {what}", standing);
    }

    private async Task LoadSteps(PatientRow patient, ClinicRow clinic, Func<Instant, string> say, Instant now, CancellationToken stop)
    {
        var (zone, texts) = (DateTimeZoneProviders.Tzdb[clinic.Zone], content.Texts.In(patient.Language));
        var steps = await db.Steps.AsNoTracking().Where(s => s.PatientId == patient.Id).ToListAsync(stop);
        var keys = steps.ConvertAll(s => StepText.Key(s.Id));
        var sent = await db.Outgoing.AsNoTracking().Where(o => keys.Contains(o.Key)).ToDictionaryAsync(o => o.Key, stop);
        var ids = sent.Values.Select(o => o.Id).ToList();
        var heard = (await db.Deliveries.AsNoTracking().Where(d => ids.Contains(d.OutgoingId)).Select(d => new { d.OutgoingId, d.Status }).ToListAsync(stop)).ToLookup(d => d.OutgoingId, d => d.Status);
        ToCome = [.. steps.Where(s => s.State is StepState.Planned).OrderBy(s => s.DueAt).Select(Shown)];
        GoesNoMore = [.. steps.Where(s => s.State is not (StepState.Planned or StepState.Sent) && s.DueAt > now).OrderBy(s => s.DueAt).Select(Shown)];
        SoFar = [.. steps.Where(s => s.State is StepState.Sent || (s.State is not StepState.Planned && s.DueAt <= now)).OrderByDescending(s => s.State is StepState.Sent ? s.StateAt : s.DueAt).Select(Shown)];

        Step Shown(StepRow step)
        {
            var text = sent.GetValueOrDefault(StepText.Key(step.Id));
            var standing = Words(step, text, text is null ? DeliveryStanding.Unknown : DeliveryStandings.Of(heard[text.Id]));
            return new(say(step.State is StepState.Sent ? step.StateAt : step.DueAt), text?.Text ?? texts.FillStep(step.TextId, clinic, step.DayAt(step.DueAt > now ? step.DueAt : now, zone)), standing);
        }
    }

    private static string Words(StepRow step, OutgoingRow? text, DeliveryStanding heard) => (step.State, text?.State) switch
    {
        (StepState.Planned, _) => "to come",
        (StepState.Sent, null or OutgoingState.Pending or OutgoingState.Calling) => "waiting to be sent",
        (StepState.Sent, OutgoingState.Refused) => "not sent: the carrier refused it",
        (StepState.Sent, OutgoingState.HeldBack) => "not sent: held back",
        (StepState.Sent, OutgoingState.TooLate) => "not sent: too late to be of use",
        (StepState.Sent, OutgoingState.Unclear) => "unclear whether it was sent",
        (StepState.Sent, _) => heard switch
        {
            DeliveryStanding.Arrived => "sent, and delivered, says the carrier; not proof of reading",
            DeliveryStanding.NotArrived => "sent, and did not arrive",
            _ => "sent; no word of delivery",
        },
        (StepState.Stopped, _) => "not sent: texted STOP or that it is a wrong number",
        (StepState.NotAgreed, _) => "not sent: has not agreed to care texts",
        (StepState.TooLate, _) => "not sent: too late to be of use",
        (StepState.Merged, _) => "not sent: a newer step spoke instead",
        (StepState.TakenOver, _) => "not sent: a later treatment's plan took over",
        _ => $"not sent: {step.Reason ?? "left out"}",
    };

    private static string Words(ConsentStanding standing) => standing switch
    {
        ConsentStanding.Stands => "stands",
        ConsentStanding.CoolingOff => "cooling-off time runs",
        ConsentStanding.NoClinician => "no clinician has signed it",
        _ => "withdrawn",
    };
}
