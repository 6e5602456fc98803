using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Keeps a person's answer to a question of the clinic and puts the intake back into the queue. Sent twice, it is kept once.</summary>
/// <remarks>The words are read like those of the intake: a warning sign written here pages whoever is on call.</remarks>
internal sealed class AnswerQuestion(PortalDb db, ContentLibrary content, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        /// <summary>Nothing written, or too much; what was typed stays.</summary>
        public sealed record Refused : Outcome;
        /// <summary>There is no such question, or it was answered before.</summary>
        public sealed record NothingAsked : Outcome;
    }

    /// <param name="number">Number of the question the person saw: an answer never goes to another one.</param>
    public async Task<Outcome> Run(OpenIntake.Opened opened, int number, string? words, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var id = opened.Intake.Id;
        if (await db.Questions.AsNoTracking().Where(q => q.IntakeId == id && q.Number == number && q.Answer == null).SingleOrDefaultAsync(stop) is not { } question) return new Outcome.NothingAsked();

        // decide
        if (string.IsNullOrWhiteSpace(words) || words.Length > Typed.LongestText) return new Outcome.Refused();
        var said = words.Trim().WithoutNul();
        var urgent = content.SoundsUrgent(said);

        // write
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var kept = await db.Questions.Where(q => q.Id == question.Id && q.Answer == null)
            .ExecuteUpdateAsync(s => s.SetProperty(q => q.Answer, said).SetProperty(q => q.AnsweredAt, now).SetProperty(q => q.SoundsUrgent, urgent), stop);
        if (kept == 0) return new Outcome.NothingAsked();
        await db.Intakes.Where(i => i.Id == id).ExecuteUpdateAsync(s => s.SetProperty(i => i.Question, (string?)null), stop);
        if (urgent)
        {
            var message = new MessageRow
            {
                ClinicId = opened.Intake.ClinicId, CarrierId = $"answer-{id:N}-{question.Number}", From = MessageRow.SenderOf(id), To = opened.Clinic.PatientNumber,
                Text = said, MediaCount = 0, RawForm = MessageRow.FromIntake, ReceivedAt = now, WrittenAt = now,
            };
            db.Add(message);
            db.Enqueue(MessageJobs.ReadIntake, message.Id.ToString(), now, lane: 1);
            await db.SaveChangesAsync(stop);
        }

        await all.CommitAsync(stop);
        return new Outcome.Kept();
    }
}
