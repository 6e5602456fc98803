using System.Diagnostics;
using System.Text.Json;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>How a patient finds the result: what was answered at each review, and the questions to hand over.</summary>
internal sealed class ReviewQuestionsModel(PortalDb db, KeepReviewAnswers keep, ContentLibrary content, TimeProvider time) : PageModel
{
    /// <param name="Talk">What the clinician should speak about, in words.</param>
    public sealed record Answered(int Day, Instant At, string AskedBy, string Questions, IReadOnlyList<(string Says, string Chosen)> Lines, IReadOnlyList<string> Talk, string Words);

    [BindProperty] public Guid AnswerId { get; set; }
    [BindProperty] public Dictionary<string, string> Chosen { get; set; } = [];
    [BindProperty] public string? Words { get; set; }
    /// <summary>Language of the patient's screen; null: the clinician's view.</summary>
    [BindProperty(SupportsGet = true)] public string? Language { get; set; }
    /// <summary>The patient has just answered; the screen says so and shows nothing else.</summary>
    [BindProperty(SupportsGet = true)] public bool Kept { get; set; }
    public Guid TreatmentId { get; private set; }
    public Guid PatientId { get; private set; }
    public string PatientName { get; private set; } = "";
    public string PatientLanguage { get; private set; } = Texts.DefaultLanguage;
    public LocalDate TreatedOn { get; private set; }
    public int Day { get; private set; }
    public IReadOnlyList<Answered> Earlier { get; private set; } = [];
    /// <summary>Days of a review that have passed since the treatment with nothing answered until the next.</summary>
    public IReadOnlyList<int> Unasked { get; private set; } = [];
    public KeepReviewAnswers.Outcome? Refused { get; private set; }
    public OutcomeQuestions Asks => content.OutcomeQuestions;
    private ClinicRow _clinic = null!;

    /// <summary>Words of the patient's screen, filled.</summary>
    public string Say(string key) => Asks.Words[Language!][key].Replace("{clinic-line}", _clinic.ClinicLine, StringComparison.Ordinal).Replace("{emergency}", _clinic.EmergencyNumber, StringComparison.Ordinal);

    public async Task<IActionResult> OnGetAsync(Guid treatment, CancellationToken stop)
    {
        AnswerId = Guid.CreateVersion7();
        return await Show(treatment, stop);
    }

    public async Task<IActionResult> OnPostAsync(Guid treatment, CancellationToken stop)
    {
        if (!Texts.Languages.Contains(Language)) return BadRequest();
        switch (await keep.Run(AnswerId, treatment, Chosen, Words, Language!, User.Identity!.Name!))
        {
            case KeepReviewAnswers.Outcome.Kept: return RedirectToPage(new { treatment, Language, Kept = true });
            case KeepReviewAnswers.Outcome.NotFound: return NotFound();
            case var refused and (KeepReviewAnswers.Outcome.Nothing or KeepReviewAnswers.Outcome.TooLong):
                Refused = refused;
                return await Show(treatment, stop);
            default: throw new UnreachableException();
        }
    }

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Treatments.AsNoTracking().SingleOrDefaultAsync(t => t.Id == id, stop) is not { } treatment) return NotFound();
        if (!Texts.Languages.Contains(Language)) Language = null;
        _clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == treatment.ClinicId, stop);
        var patient = await db.Patients.AsNoTracking().SingleAsync(p => p.Id == treatment.PatientId, stop);
        (TreatmentId, PatientId, PatientName, PatientLanguage, TreatedOn) = (id, patient.Id, patient.Name, patient.Language, treatment.TreatedOn);
        Day = Math.Max(0, Period.DaysBetween(treatment.TreatedOn, time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[_clinic.Zone]).Date));
        Earlier = [.. (await db.ReviewAnswers.AsNoTracking().Where(a => a.TreatmentId == id).OrderBy(a => a.AnsweredAt).ThenBy(a => a.Id).ToListAsync(stop)).Select(In)];
        var next = Asks.Days.Skip(1).Append(int.MaxValue);
        Unasked = [.. Asks.Days.Zip(next, (from, to) => (from, to)).Where(d => d.from <= Day && !Earlier.Any(e => e.Day >= d.from && e.Day < d.to)).Select(d => d.from)];
        return Page();
    }

    // In the clinic's own language, by the questions in force; what they no longer know stands as it was kept.
    private Answered In(ReviewAnswerRow row)
    {
        var lines = JsonSerializer.Deserialize<Dictionary<string, string>>(row.Chosen)!.Select(chosen =>
        {
            var question = Asks.Questions.FirstOrDefault(q => q.Id == chosen.Key);
            var option = question?.Options.FirstOrDefault(o => o.Id == chosen.Value);
            return (Says: question?.Says[Texts.DefaultLanguage] ?? chosen.Key, Chosen: option?.Says[Texts.DefaultLanguage] ?? chosen.Value, Talk: option?.Talk ?? false);
        }).ToList();
        return new(row.Day, row.AnsweredAt, row.AskedBy, row.Questions, [.. lines.Select(l => (l.Says, l.Chosen))], [.. lines.Where(l => l.Talk).Select(l => $"{l.Says} {l.Chosen}")], row.Words);
    }
}
