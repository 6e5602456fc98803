using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Asks a person something about their intake on their private page, and tells them by text that a question waits.</summary>
internal sealed class AskBack(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <summary>Longest question, in UTF-16 units.</summary>
    public const int Longest = 1000;

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Asked : Outcome;
        public sealed record Refused(string Fault) : Outcome;
        public sealed record NotFound : Outcome;
    }

    public async Task<Outcome> Run(Guid id, int seen, string? words, string by, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.Intakes.SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return new Outcome.NotFound();
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        var latest = await db.Questions.AsNoTracking().Where(q => q.IntakeId == id).OrderByDescending(q => q.Number).FirstOrDefaultAsync(stop);

        // decide
        if (string.IsNullOrWhiteSpace(words) || words.Length > Longest) return new Outcome.Refused($"Write one question, up to {Longest} characters.");
        if (latest is { IsOpen: true } open) return new Outcome.Refused($"A question of {open.AskedBy} is not answered yet. One at a time: close it on the intake's page if it was answered otherwise.");
        if (seen > (latest?.Number ?? 0) || seen < 0) return new Outcome.Refused(OpenedAt.Never);
        if (latest?.Number > seen) return new Outcome.Refused("Something was asked or written meanwhile. Look at the intake, then ask again if it is still needed.");

        // write
        db.Add(new QuestionRow { IntakeId = id, Number = seen + 1, Words = words.Trim(), AskedBy = by, AskedAt = now });
        intake.Question = words.Trim();
        intake.KeepOpen(now);
        await db.Tell(content, intake, clinic, $"question:{id}:{seen + 1}", "clinic-asks", now, stop);
        try
        {
            await db.SaveChangesAsync(stop);
            return new Outcome.Asked();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await db.Questions.AnyAsync(q => q.IntakeId == id && q.Number > seen, stop)) return new Outcome.Refused("Somebody else asked at the same moment. Look at the intake first.");
            throw;
        }
    }
}
