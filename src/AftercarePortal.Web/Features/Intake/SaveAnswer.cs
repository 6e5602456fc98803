using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Keeps what a person did with one question, usable or not, and says where to go on.</summary>
internal sealed class SaveAnswer(PortalDb db, OpenIntake open, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        /// <summary>Kept; go on with this question, or with the last look when null.</summary>
        public sealed record GoOn(int? Number) : Outcome;
        /// <summary>Kept, but it cannot be used; the key of the sentence for the person.</summary>
        public sealed record NotUsable(string Problem) : Outcome;
        /// <summary>Kept; the intake kindly ends here.</summary>
        public sealed record Stops : Outcome;
        public sealed record AlreadySent : Outcome;
    }

    /// <param name="opened">The intake as it was opened.</param>
    /// <param name="question">A question of it.</param>
    /// <param name="link">Its private link.</param>
    /// <param name="skip">True when the person left it out on purpose; what was typed is kept all the same.</param>
    public async Task<Outcome> Run(OpenIntake.Opened opened, Question question, string link, Typed typed, bool skip, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var problem = (string?)null;
        Answer? answer = new Answer.Skipped();
        if (!skip || question.Required) (answer, problem) = typed.ReadAs(question, opened.Today);
        var state = answer switch
        {
            Answer.Given => AnswerState.Answered,
            Answer.NotSure => AnswerState.NotSure,
            Answer.Skipped => AnswerState.Skipped,
            _ => AnswerState.NotUsable,
        };

        // write
        if (!await Keep(opened.Intake, question.LinkId, typed.ToJson(), state, now, stop)) return new Outcome.AlreadySent();
        if (problem is not null) return new Outcome.NotUsable(problem);

        // decide where to go on
        var after = (await open.Run(link, stop))!;
        if (after.Rules.FindingsFor(after.Answers, after.Today).All.Any(f => f is { Stops: true, FromDoubt: false })) return new Outcome.Stops();
        return new Outcome.GoOn(after.NextOpen is { } next ? after.NumberOf(next) : null);
    }

    // The intake's row is taken hold of first, by raising its version: nothing is kept once it has been sent, also of two at once,
    // and what is being worked out from the answers before is not kept as the result of these.
    private async Task<bool> Keep(IntakeRow intake, string linkId, string typed, AnswerState state, Instant now, CancellationToken stop)
    {
        for (var again = true; ; again = false)
        {
            try
            {
                db.ChangeTracker.Clear();
                await using var all = await db.Database.BeginTransactionAsync(stop);
                if (await db.Intakes.Where(i => i.Id == intake.Id && i.SubmittedAt == null).ExecuteUpdateAsync(s => s.SetProperty(i => i.AnswersVersion, i => i.AnswersVersion + 1), stop) == 0) return false;
                if (await db.IntakeAnswers.SingleOrDefaultAsync(a => a.IntakeId == intake.Id && a.LinkId == linkId, stop) is { } row)
                    (row.Typed, row.State, row.AnsweredAt) = (typed, state, now);
                else
                    db.Add(new IntakeAnswerRow { ClinicId = intake.ClinicId, IntakeId = intake.Id, LinkId = linkId, Typed = typed, State = state, AnsweredAt = now });
                await db.SaveChangesAsync(stop);
                await all.CommitAsync(stop);
                return true;
            }
            catch (DbUpdateException) when (again)
            {
                // Two taps at once made the row; the second changes it.
            }
        }
    }
}
