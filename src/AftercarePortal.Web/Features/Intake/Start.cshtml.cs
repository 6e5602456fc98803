using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>A clinic's public door to its intake.</summary>
/// <remarks>No form token: starting an empty intake protects nothing, and must work without cookies.</remarks>
[IgnoreAntiforgeryToken]
internal sealed class StartModel(PortalDb db, StartIntake start, IntakeLimits limits, ContentLibrary content) : PageModel
{
    /// <summary>Language asked for; any other is read as the first.</summary>
    [BindProperty(SupportsGet = true, Name = "lang")] public string? Asked { get; set; }

    /// <summary>The clinic whose door it is.</summary>
    public ClinicRow Here { get; private set; } = null!;
    /// <summary>Words of the page, in its language.</summary>
    public PageWords Words { get; private set; } = null!;
    /// <summary>Minutes to wait because too many were started from here, or null.</summary>
    public int? Wait { get; private set; }
    /// <summary>The language the page is not in.</summary>
    public string Other => PageWords.Languages.First(l => l != Words.Language);

    public async Task<IActionResult> OnGetAsync(string clinic, CancellationToken stop) => await Find(clinic, stop) ? Page() : NotFound();

    public async Task<IActionResult> OnPostAsync(string clinic, CancellationToken stop)
    {
        if (!await Find(clinic, stop)) return NotFound();
        Wait = limits.MinutesToWait(IntakeLimits.Act.Start, Here.Id, HttpContext);
        if (Wait is not null) return Page();
        return RedirectToPage("Question", new { link = await start.Run(Here, Words.Language, stop), number = 1 });
    }

    private async Task<bool> Find(string slug, CancellationToken stop)
    {
        if (await db.Clinics.SingleOrDefaultAsync(c => c.Slug == slug, stop) is not { } clinic) return false;
        Here = clinic;
        ViewData["Clinic"] = clinic.Name;
        Words = content.Pages[PageWords.Languages.Contains(Asked) ? Asked! : PageWords.Languages[0]];
        IntakePage.Dress(ViewData, Words);
        return true;
    }
}
