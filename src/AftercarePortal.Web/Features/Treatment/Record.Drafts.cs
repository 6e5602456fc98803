using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <content>What was typed is kept, thrown away, taken up again.</content>
internal sealed partial class RecordModel
{
    /// <summary>The draft is kept; nothing is signed.</summary>
    public Task<IActionResult> OnPostKeepAsync(Guid id)
    {
        Said = "Draft kept.";
        return KeepAndShow(id, Lines.Count);
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
}
