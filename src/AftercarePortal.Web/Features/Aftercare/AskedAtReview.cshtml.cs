using System.Diagnostics;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>The questions of a review on the screen in the patient's hands. It shows nothing of what was answered before.</summary>
internal sealed class AskedAtReviewModel(PortalDb db, KeepReviewAnswers keep, ContentLibrary content) : PageModel
{
    /// <summary>Id the answers will have, given when the form was opened.</summary>
    [BindProperty] public Guid AnswerId { get; set; }
    /// <summary>Question id → id of the chosen option; what was left out is not there.</summary>
    [BindProperty] public Dictionary<string, string> Chosen { get; set; } = [];
    /// <summary>In the patient's own words, as typed.</summary>
    [BindProperty] public string? Words { get; set; }
    /// <summary>Id of the answers this form has just kept.</summary>
    [BindProperty(SupportsGet = true)] public Guid? Done { get; set; }
    /// <summary>The patient has just answered; the screen says so and shows nothing else.</summary>
    public bool Kept { get; private set; }
    /// <summary>Words around the questions, in their language.</summary>
    public PageWords Around { get; private set; } = null!;
    /// <summary>Why nothing was kept: nothing answered, or words too long; null: nothing was wrong.</summary>
    public KeepReviewAnswers.Outcome? Refused { get; private set; }
    /// <summary>The questions in force.</summary>
    public OutcomeQuestions Asks => content.OutcomeQuestions;
    private ClinicRow _clinic = null!;

    /// <summary>Words of the screen, filled.</summary>
    public string Say(string key) => Asks.Words[Around.Language][key].Replace("{clinic-line}", _clinic.ClinicLine, StringComparison.Ordinal).Replace("{emergency}", _clinic.EmergencyNumber, StringComparison.Ordinal);

    public Task<IActionResult> OnGetAsync(Guid treatment, string language, CancellationToken stop)
    {
        AnswerId = Guid.CreateVersion7();
        return Show(treatment, language, stop);
    }

    public async Task<IActionResult> OnPostAsync(Guid treatment, string language, CancellationToken stop)
    {
        if (!Texts.Languages.Contains(language)) return NotFound();
        switch (await keep.Run(AnswerId, treatment, Chosen, Words, language, User.Identity!.Name!))
        {
            case KeepReviewAnswers.Outcome.Kept: return RedirectToPage(new { treatment, language, Done = AnswerId });
            case KeepReviewAnswers.Outcome.NotFound: return NotFound();
            case var refused and (KeepReviewAnswers.Outcome.Nothing or KeepReviewAnswers.Outcome.TooLong):
                Refused = refused;
                return await Show(treatment, language, stop);
            default: throw new UnreachableException();
        }
    }

    private async Task<IActionResult> Show(Guid id, string language, CancellationToken stop)
    {
        if (!Texts.Languages.Contains(language) || await db.Treatments.AsNoTracking().SingleOrDefaultAsync(t => t.Id == id, stop) is not { } treatment) return NotFound();
        Around = content.WordsHandedOver(language);
        Kept = Done is { } done && await db.ReviewAnswers.AnyAsync(a => a.Id == done && a.TreatmentId == id, stop);
        _clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == treatment.ClinicId, stop);
        return Page();
    }
}
