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
internal sealed class ReviewQuestionsModel(PortalDb db, ContentLibrary content, TimeProvider time) : PageModel
{
    /// <summary>What a patient answered at one review, in the clinic's own language.</summary>
    /// <param name="Day">Days since the treatment.</param>
    /// <param name="AskedBy">Full name of whoever handed over the screen.</param>
    /// <param name="Questions">Version of the questions.</param>
    /// <param name="Lines">Each question that was answered, with its answer; one that content no longer knows by its id.</param>
    /// <param name="Talk">What the clinician should speak about, in words.</param>
    /// <param name="Words">As the patient wrote them, in any language; empty: none.</param>
    public sealed record Answered(int Day, Instant At, string AskedBy, string Questions, IReadOnlyList<(string Says, string Chosen)> Lines, IReadOnlyList<string> Talk, string Words);

    public Guid TreatmentId { get; private set; }
    public Guid PatientId { get; private set; }
    public string PatientName { get; private set; } = "";
    /// <summary>Language of the patient's care texts; offered first.</summary>
    public string PatientLanguage { get; private set; } = Texts.DefaultLanguage;
    public LocalDate TreatedOn { get; private set; }
    /// <summary>Days since the treatment on the clinic's calendar, 0 or more.</summary>
    public int Day { get; private set; }
    /// <summary>What was answered so far, oldest first.</summary>
    public IReadOnlyList<Answered> Earlier { get; private set; } = [];
    /// <summary>Days of a review that have passed since the treatment with nothing answered until the next.</summary>
    public IReadOnlyList<int> Unasked { get; private set; } = [];
    /// <summary>The record holds; of one that does not nothing is asked.</summary>
    public bool Holds { get; private set; }
    /// <summary>The questions in force.</summary>
    public OutcomeQuestions Asks => content.OutcomeQuestions;

    public async Task<IActionResult> OnGetAsync(Guid treatment, CancellationToken stop)
    {
        if (await db.SignedRecord(treatment, stop) is not { } record) return NotFound();
        var signed = record.AsPutRight();
        Holds = record.DoesHold;
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == signed.ClinicId, stop);
        var patient = await db.Patients.AsNoTracking().SingleAsync(p => p.Id == signed.PatientId, stop);
        (TreatmentId, PatientId, PatientName, PatientLanguage, TreatedOn) = (treatment, patient.Id, patient.Name, patient.Language, signed.TreatedOn);
        Day = Math.Max(0, Period.DaysBetween(signed.TreatedOn, time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date));
        Earlier = [.. (await db.ReviewAnswers.AsNoTracking().Where(a => a.TreatmentId == treatment).OrderBy(a => a.AnsweredAt).ThenBy(a => a.Id).ToListAsync(stop)).Select(In)];
        Unasked = Asks.Unanswered(Day, [.. Earlier.Select(e => e.Day)]);
        return Page();
    }

    // In the clinic's own language, by the questions in force; what they no longer know stands as it was kept.
    private Answered In(ReviewAnswerRow row)
    {
        var kept = JsonSerializer.Deserialize<Dictionary<string, string>>(row.Chosen)!;
        var lines = kept.Select(chosen =>
        {
            var question = Asks.Questions.FirstOrDefault(q => q.Id == chosen.Key);
            return (question?.Says[Texts.DefaultLanguage] ?? chosen.Key, question?.Options.FirstOrDefault(o => o.Id == chosen.Value)?.Says[Texts.DefaultLanguage] ?? chosen.Value);
        });
        var talk = Asks.TalkAbout(kept).Select(t => $"{t.Question.Says[Texts.DefaultLanguage]} {t.Option.Says[Texts.DefaultLanguage]}");
        return new(row.Day, row.AnsweredAt, row.AskedBy, row.Questions, [.. lines], [.. talk], row.Words);
    }
}
