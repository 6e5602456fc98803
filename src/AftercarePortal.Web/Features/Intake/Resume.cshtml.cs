using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>The private link itself: goes on where the person left, in another language when that is asked for.</summary>
internal sealed class ResumeModel(PortalDb db, OpenIntake open) : IntakePage(open)
{
    public IActionResult OnGet() => GoOn();

    public async Task<IActionResult> OnPostAsync(string? lang, CancellationToken stop)
    {
        // What was worked out and sent stays in the words it was read in.
        if (lang is not null && PageWords.Languages.Contains(lang) && Opened.Intake.SubmittedAt is null)
            await db.Intakes.Where(i => i.Id == Opened.Intake.Id && i.SubmittedAt == null).ExecuteUpdateAsync(s => s.SetProperty(i => i.Language, lang), stop);
        return RedirectToPage("Resume", new { Link });
    }
}
