using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Sends an intake with its result to the clinic's queue. Sent twice, it is sent once.</summary>
internal sealed class SendIntake(PortalDb db, ContentLibrary content, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Sent : Outcome;
        /// <summary>It had been sent with another name, number or agreement, which stay.</summary>
        public sealed record SentOtherwise : Outcome;
        /// <summary>Sentences for the person, by field; what was typed stays.</summary>
        public sealed record Refused(string? Name, string? Number) : Outcome;
        /// <summary>There is no result yet, or answers have changed since.</summary>
        public sealed record NoResult : Outcome;
    }

    public async Task<Outcome> Run(OpenIntake.Opened opened, string? name, string? number, bool mayText, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var id = opened.Intake.Id;
        var read = PhoneNumber.Read(number, opened.Clinic.PatientNumber);
        var called = PersonName.Read(name);

        // decide
        var nameProblem = called is null ? opened.Words.Say("wrong-name", PersonName.Longest) : null;
        var numberProblem = read is null ? opened.Words["wrong-phone"] : null;
        if (nameProblem is not null || numberProblem is not null) return new Outcome.Refused(nameProblem, numberProblem);

        // write
        await using var all = await db.Database.BeginTransactionAsync(stop);
        // Only with the answers that were opened, which are read for warning signs below; from here on none can change any more.
        var version = opened.Intake.AnswersVersion;
        var sent = await db.Intakes.Where(i => i.Id == id && i.SubmittedAt == null && i.AnswersVersion == version).ExecuteUpdateAsync(
            s => s.SetProperty(i => i.SubmittedAt, now).SetProperty(i => i.Name, called).SetProperty(i => i.Number, read).SetProperty(i => i.MayText, mayText), stop);
        // Sent before, or by the other one of two taps; or else an answer came in meanwhile.
        if (sent == 0) return await Before(id, (called, read, mayText), stop);
        var result = await db.LatestResultOf(id, stop);
        if (result?.AnswersVersion != version) return new Outcome.NoResult();
        await Forget(id, result, stop);
        foreach (var (words, place) in content.WordsIn(opened).Where(content.SoundsUrgent).Select((w, i) => (w, i))) await db.BeRead(opened, $"intake-{id:N}-{place}", words, now, stop);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return new Outcome.Sent();
    }

    private async Task<Outcome> Before(Guid id, (string? Name, string? Number, bool MayText) typed, CancellationToken stop) =>
        await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } kept ? new Outcome.NoResult()
        : typed == (kept.Name, kept.Number, kept.MayText) ? new Outcome.Sent()
        : new Outcome.SentOtherwise();

    // What was left out, cleared or written on a branch left since never reaches the clinic, so nothing of it stays; nor do earlier results, which repeat it.
    private async Task Forget(Guid id, IntakeResultRow result, CancellationToken stop)
    {
        string[] asked = [.. IntakeResult.FromJson(result.Json).Answers.Select(a => a.LinkId)];
        var nothing = Typed.Nothing.ToJson();
        await db.IntakeAnswers.Where(a => a.IntakeId == id && !asked.Contains(a.LinkId)).ExecuteDeleteAsync(stop);
        await db.IntakeAnswers.Where(a => a.IntakeId == id && a.State == AnswerState.Skipped).ExecuteUpdateAsync(s => s.SetProperty(a => a.Typed, nothing), stop);
        await db.IntakeResults.Where(r => r.IntakeId == id && r.Id != result.Id).ExecuteDeleteAsync(stop);
    }
}
