using System.Diagnostics;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
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
internal sealed partial class RecordModel(PortalDb db, SignRecord sign, Drafts drafts, PlanAgainstIntake against, AftercarePreview preview, ContentLibrary content, TimeProvider time) : PageModel
{
    private const int MostPatients = 50;

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

    /// <summary>Everything once more, with the texts it starts; or what keeps it from being signed. Nothing is signed.</summary>
    public async Task<IActionResult> OnPostLookAsync(Guid id)
    {
        if (HasGap("Lines", Lines.Count) || HasGap("Drawn", Drawn.Count)) return BadRequest();
        if (await Today() is not { } today) return NotFound();
        var filled = Form.Copy();
        Reasons = [.. SignRecord.Read(filled, today, time.GetCurrentInstant()).Reasons, .. await db.TouchUpFaults(TouchUpOf, id, ReadTyped.Date(TreatedOn), HttpContext.RequestAborted), .. await RecallFaults(filled)];
        Looked = Reasons.Count == 0;
        return await KeepAndShow(id, Lines.Count);
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

    private async Task<IEnumerable<string>> RecallFaults(RecordForm filled) =>
        string.IsNullOrWhiteSpace(RecalledWhy) ? RecallWords.Against(await db.RecallsOf(filled.Lots(), HttpContext.RequestAborted)) : [];

    private bool HasGap(string list, int read) => Request.Form.Keys.Any(key =>
        key.StartsWith(list + "[", StringComparison.Ordinal) && !Enumerable.Range(0, read).Any(i => key.StartsWith($"{list}[{i}].", StringComparison.Ordinal)));

    private async Task<LocalDate?> Today() =>
        await db.Clinics.SingleOrDefaultAsync(c => c.Id == db.ClinicId) is { } clinic ? time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date : null;
}
