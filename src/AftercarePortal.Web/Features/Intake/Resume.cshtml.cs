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
        // What was sent stays in the words it was read in; what was only worked out is worked out anew, or half of the page would stay in the other language.
        if (lang is not null && PageWords.Languages.Contains(lang) && lang != Opened.Intake.Language && Opened.Intake.SubmittedAt is null)
            await db.Intakes.Where(i => i.Id == Opened.Intake.Id && i.SubmittedAt == null)
                .ExecuteUpdateAsync(s => s.SetProperty(i => i.Language, lang).SetProperty(i => i.AnswersVersion, i => i.AnswersVersion + 1), stop);
        return RedirectToPage("Resume", new { Link });
    }
}
