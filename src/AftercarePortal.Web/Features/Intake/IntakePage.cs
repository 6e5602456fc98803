using AftercarePortal.Web.ContentFiles;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.Filters;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.AspNetCore.Mvc.ViewFeatures;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>A page of one intake: opened by its private link before anything else, or answered with a kind "this link has ended".</summary>
/// <remarks>No form token: the link in the address is the secret a forger would need, and a browser without cookies must not lose what was typed.</remarks>
[IgnoreAntiforgeryToken]
internal abstract class IntakePage(OpenIntake open) : PageModel
{
    /// <summary>The private link's secret.</summary>
    [FromRoute] public string Link { get; set; } = "";

    public OpenIntake.Opened Opened { get; private set; } = null!;

    /// <summary>What stands on this page and is not kept as an answer holds words that should not wait.</summary>
    public bool TypedSoundsUrgent { get; protected set; }

    /// <summary>The whole private link, to be kept by the person.</summary>
    public string WholeLink => $"{(open.PublicUrl is { Length: > 0 } known ? known.TrimEnd('/') : $"{Request.Scheme}://{Request.Host}")}/Intake/{Link}";

    public override async Task OnPageHandlerExecutionAsync(PageHandlerExecutingContext context, PageHandlerExecutionDelegate next)
    {
        if (await open.Run(Link, HttpContext.RequestAborted) is not { } opened)
        {
            var clinic = await open.ClinicOfEnded(Link, HttpContext.RequestAborted);
            context.Result = new ViewResult { ViewName = "/Features/Intake/Ended.cshtml", StatusCode = StatusCodes.Status404NotFound, ViewData = new(MetadataProvider, ModelState) { Model = clinic, ["Clinic"] = clinic?.Name } };
            return;
        }

        Opened = opened;
        ViewData["Clinic"] = opened.Clinic.Name;
        Dress(ViewData, opened.Words);
        await next();
    }

    /// <summary>What the layout needs in the language of the page.</summary>
    public static void Dress(ViewDataDictionary view, PageWords words)
    {
        view["Title"] = words["title"];
        view["Language"] = words.Language;
        view["Skip"] = words["skip-link"];
        view["Footer"] = $"{words["footer"]} {words["not-checked"]}".Trim();
    }

    /// <summary>Where an intake goes on: the next open question, the last look, or what it came to.</summary>
    protected IActionResult GoOn() =>
        Opened.Intake.SubmittedAt is not null ? RedirectToPage("/Intake/Result", new { Link })
        : Opened.NextOpen is { } next ? RedirectToPage("/Intake/Question", new { Link, number = Opened.NumberOf(next) })
        : RedirectToPage("/Intake/Check", new { Link });

    /// <summary>To the result of what was sent before, which says that what came now was not added.</summary>
    /// <param name="what">Key of the sentence that says it.</param>
    protected IActionResult AlreadySent(string what) => RedirectToPage("/Intake/Result", new { Link, late = what });
}
