using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Keeps a person's answer to a question of the clinic and puts the intake back into the queue. Sent twice, it is kept once; other words written to an answered question are kept beside its answer.</summary>
/// <remarks>The words are read like those of the intake: a warning sign written here pages whoever is on call.</remarks>
internal sealed class AnswerQuestion(PortalDb db, ContentLibrary content, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        /// <summary>Nothing written; what was typed stays.</summary>
        public sealed record Nothing : Outcome;
        /// <summary>Too much to be kept as an answer; what was typed stays, and a sign in it is read.</summary>
        public sealed record TooLong(bool SoundsUrgent) : Outcome;
        /// <summary>There is no such question.</summary>
        public sealed record NothingAsked : Outcome;
        /// <summary>The question is no longer open and another one is: the words are not kept as an answer to either, what was typed stays, and a sign in them is read.</summary>
        public sealed record AskedOther(bool SoundsUrgent) : Outcome;
    }

    /// <param name="number">Number of the question the person saw: an answer never goes to another one.</param>
    public Task<Outcome> Run(OpenIntake.Opened opened, int number, string? words, CancellationToken stop) => Run(opened, number, words, triesLeft: 3, stop);

    private async Task<Outcome> Run(OpenIntake.Opened opened, int number, string? words, int triesLeft, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var id = opened.Intake.Id;
        var questions = await db.Questions.AsNoTracking().Where(q => q.IntakeId == id).OrderBy(q => q.Number).ToListAsync(stop);
        if (questions.Find(q => q.Number == number && q.Further is null) is not { } question) return new Outcome.NothingAsked();

        // decide
        if (string.IsNullOrWhiteSpace(words)) return new Outcome.Nothing();
        var said = words.Trim().WithoutNul();
        if (said.Length > Typed.LongestText) return await TooLong(opened, number, said, now, stop);
        if (questions.Exists(q => (q.Number == number || q.Further == number) && q.Answer == said)) return new Outcome.Kept();
        var (urgent, asksOther) = (content.SoundsUrgent(said), !question.IsOpen && questions.Exists(q => q.IsOpen));

        // write
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var further = questions[^1].Number + 1;
        if (urgent) await BeRead(opened, said, asksOther ? Named(number, said) : $"{(question.Answer is null ? number : further)}", now, stop);
        if (!asksOther && question.Answer is not null)
            db.Add(new QuestionRow { IntakeId = id, Number = further, Further = number, Words = question.Words, AskedBy = question.AskedBy, AskedAt = question.AskedAt, Answer = said, AnsweredAt = now, SoundsUrgent = urgent });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException) when (triesLeft > 0)
        {
            await all.RollbackAsync(stop);
            db.ChangeTracker.Clear();
            return await Run(opened, number, words, triesLeft - 1, stop);          // something was asked or written in the same moment: look anew
        }

        if (!asksOther && question.Answer is null)
        {
            var kept = await db.Questions.Where(q => q.Id == question.Id && q.Answer == null)
                .ExecuteUpdateAsync(s => s.SetProperty(q => q.Answer, said).SetProperty(q => q.AnsweredAt, now).SetProperty(q => q.SoundsUrgent, urgent), stop);
            if (kept == 0)
            {
                await all.RollbackAsync(stop);
                db.ChangeTracker.Clear();
                return await Run(opened, number, words, triesLeft, stop);          // answered in the same moment: the same words, or others beside them
            }

            var asked = db.Questions;
            await db.Intakes.Where(i => i.Id == id && !asked.Any(q => q.IntakeId == id && q.Answer == null && q.ClosedAt == null)).ExecuteUpdateAsync(s => s.SetProperty(i => i.Question, (string?)null), stop);
        }

        await all.CommitAsync(stop);
        return asksOther ? new Outcome.AskedOther(urgent) : new Outcome.Kept();
    }

    // Whoever has too much to say may have something that should not wait: the words are kept whole for whoever is on call.
    private async Task<Outcome> TooLong(OpenIntake.Opened opened, int number, string said, Instant now, CancellationToken stop)
    {
        if (!content.SoundsUrgent(said)) return new Outcome.TooLong(false);
        await BeRead(opened, said, Named(number, said), now, stop);
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            var carrierId = CarrierId(opened, Named(number, said));
            if (!await db.Messages.AnyAsync(m => m.CarrierId == carrierId, stop)) throw;       // else this is the second of two taps at once
        }

        return new Outcome.TooLong(true);
    }

    private Task BeRead(OpenIntake.Opened opened, string said, string to, Instant now, CancellationToken stop) => db.BeRead(opened, CarrierId(opened, to), said, now, stop);

    private static string CarrierId(OpenIntake.Opened opened, string to) => $"answer-{opened.Intake.Id:N}-{to}";

    private static string Named(int number, string said) => $"{number}-{Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(said)))[..8]}";
}
