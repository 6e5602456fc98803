using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Asks for a new private link by the number an intake was sent with and the day its sender was born. Says the same whether there is one or not.</summary>
/// <remarks>No form token: it must work without cookies, and all a forger could do is have a text sent to its owner, a few times a day.</remarks>
[IgnoreAntiforgeryToken]
internal sealed class LostModel(PortalDb db, LostLink lost, IntakeLimits limits, ContentLibrary content) : PageModel
{
    /// <summary>Language asked for; any other is read as the first.</summary>
    [BindProperty(SupportsGet = true, Name = "lang")] public string? Language { get; set; }
    /// <summary>The number an intake was sent with, as typed; without a country code that of the clinic is meant.</summary>
    [BindProperty(Name = "number")] public string? Number { get; set; }

    /// <summary>Day, month and year of birth, as typed.</summary>
    public Typed Born { get; private set; } = Typed.Nothing;
    /// <summary>What is wrong with the day, in the language of the page; null: nothing.</summary>
    public string? BornProblem { get; private set; }

    /// <summary>The clinic whose page it is.</summary>
    public ClinicRow Here { get; private set; } = null!;
    /// <summary>Words of the page, in its language.</summary>
    public PageWords Words { get; private set; } = null!;
    /// <summary>Minutes to wait because too many asked from here, or null.</summary>
    public int? Wait { get; private set; }
    /// <summary>The page says that a link comes if there is an intake, and the same if there is none.</summary>
    public bool Asked { get; private set; }
    /// <summary>What is wrong with the number, in the language of the page; null: nothing.</summary>
    public string? Problem { get; private set; }
    /// <summary>The language the page is not in.</summary>
    public string Other => PageWords.Languages.First(l => l != Words.Language);

    public async Task<IActionResult> OnGetAsync(string clinic, CancellationToken stop) => await Find(clinic, stop) ? Page() : NotFound();

    public async Task<IActionResult> OnPostAsync(string clinic, CancellationToken stop)
    {
        if (!await Find(clinic, stop)) return NotFound();
        var form = await Request.ReadFormAsync(stop);
        Born = Typed.Nothing with { Day = form["day"].ToString(), Month = form["month"].ToString(), Year = form["year"].ToString() };
        var (number, born) = (PhoneNumber.Read(Number, Here.PatientNumber), Born.AsDay());
        Problem = number is null ? Words["wrong-phone"] : null;
        BornProblem = born is null ? Words["wrong-date"] : null;
        if (number is null || born is null) return Page();
        Wait = limits.MinutesToWait(IntakeLimits.Act.Lost, Here.Id, HttpContext) ?? limits.MinutesToWaitOf(IntakeLimits.Act.LostNumber, Here.Id, number, HttpContext);
        if (Wait is not null) return Page();
        await lost.Ask(Here, number, born.Value, stop);
        Asked = true;
        return Page();
    }

    private async Task<bool> Find(string slug, CancellationToken stop)
    {
        if (await db.Clinics.SingleOrDefaultAsync(c => c.Slug == slug, stop) is not { } clinic) return false;
        Here = clinic;
        ViewData["Clinic"] = clinic.Name;
        Words = content.Pages[PageWords.Languages.Contains(Language) ? Language! : PageWords.Languages[0]];
        IntakePage.Dress(ViewData, Words);
        return true;
    }
}
