using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Keeps what a patient answered at a review. Own words are read like a text of that patient, in the same save: a sign written here is heard as anywhere else.</summary>
internal sealed class KeepReviewAnswers(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <summary>Most letters of own words.</summary>
    public const int MostLetters = 2000;

    public enum Outcome { Kept, Nothing, TooLong, NotFound }

    /// <param name="id">Id the form was given; the same sent twice is kept once, other answers from it (from a second tab, or gone back to) are kept beside the first.</param>
    /// <param name="chosen">Question id → option id; what is no option of the questions in force is left out.</param>
    /// <param name="words">Own words as typed.</param>
    /// <param name="language">In which the questions stood on the screen.</param>
    /// <param name="askedBy">Who handed over the screen.</param>
    public async Task<Outcome> Run(Guid id, Guid treatmentId, IReadOnlyDictionary<string, string> chosen, string? words, string language, string askedBy)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.SignedRecord(treatmentId, CancellationToken.None) is not { } record || id == Guid.Empty) return Outcome.NotFound;
        var treatment = record.AsPutRight();                                        // what was typed is kept also when the record was found void meanwhile
        var patient = await db.Patients.AsNoTracking().SingleAsync(p => p.Id == treatment.PatientId);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == treatment.ClinicId);

        // decide
        var said = words?.Trim().WithoutNul() ?? "";
        if (said.Length > MostLetters) return Outcome.TooLong;
        var known = content.OutcomeQuestions.Questions
            .Where(q => chosen.TryGetValue(q.Id, out var option) && q.Options.Any(o => o.Id == option)).ToDictionary(q => q.Id, q => chosen[q.Id]);
        if (known.Count == 0 && said.Length == 0) return Outcome.Nothing;
        var (questions, answers) = (content.OutcomeQuestions.Version.ToString(), JsonSerializer.Serialize(known));
        var first = await db.ReviewAnswers.AsNoTracking().SingleOrDefaultAsync(a => a.Id == id && a.TreatmentId == treatmentId);
        var kept = first is null || (first.Chosen == answers && first.Words == said) ? id : Beside(id, answers, said);
        if (await Known(kept, treatmentId)) return Outcome.Kept;
        var today = now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;

        // write
        db.Add(new ReviewAnswerRow
        {
            Id = kept, TreatmentId = treatmentId, Day = Math.Max(0, Period.DaysBetween(treatment.TreatedOn, today)), Questions = questions,
            Language = language, Chosen = answers, Words = said, AskedBy = askedBy, AnsweredAt = now,
        });
        if (said.Length > 0)
        {
            var message = new MessageRow
            {
                ClinicId = clinic.Id, CarrierId = $"review-{kept:N}", From = patient.Number, To = clinic.PatientNumber, Text = said, MediaCount = 0, RawForm = MessageRow.FromReview, PatientId = patient.Id, ReceivedAt = now, WrittenAt = now,
            };
            db.Add(message);
            db.Enqueue(MessageJobs.Read, message.Id.ToString(), now, lane: 1);
        }

        try
        {
            await db.SaveChangesAsync();                                           // all or nothing
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await Known(kept, treatmentId)) throw;
            return await Run(id, treatmentId, chosen, words, language, askedBy);   // two taps at once: the other one kept the same, or this goes beside it
        }

        return Outcome.Kept;
    }

    private static Guid Beside(Guid form, string answers, string words) => new(SHA256.HashData(Encoding.UTF8.GetBytes($"{form:N}{answers}\n{words}")).AsSpan(0, 16));

    private Task<bool> Known(Guid id, Guid treatmentId) => db.ReviewAnswers.AnyAsync(a => a.Id == id && a.TreatmentId == treatmentId);
}
