using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Closes a question nobody answered on the private page, with a word why: it was answered by telephone, or is needed no more. The person's page says so. What is written to it afterwards is still kept.</summary>
internal sealed class CloseQuestion(PortalDb db, TimeProvider time)
{
    /// <summary>Longest word why, in UTF-16 units.</summary>
    public const int Longest = 200;

    /// <summary>Why not, in words; null: it is closed. Sent twice, it is closed once.</summary>
    public async Task<string?> Run(Guid intakeId, int number, string? why, string by, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var question = await db.Questions.AsNoTracking().SingleOrDefaultAsync(q => q.IntakeId == intakeId && q.Number == number, stop);

        // decide
        if (question is null) return "There is no such question.";
        if (question.ClosedBy is not null) return null;
        if (string.IsNullOrWhiteSpace(why) || why.Length > Longest) return $"Write how it was answered, or why it is needed no more, up to {Longest} characters.";

        // write
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var closed = await db.Questions.Where(q => q.Id == question.Id && q.Answer == null && q.ClosedAt == null)
            .ExecuteUpdateAsync(s => s.SetProperty(q => q.ClosedBy, by).SetProperty(q => q.ClosedAt, now).SetProperty(q => q.ClosedWith, why.Trim()), stop);
        if (closed == 0) return await db.Questions.AnyAsync(q => q.Id == question.Id && q.ClosedBy != null, stop) ? null : "The person has answered meanwhile: read the answer below.";
        await db.Intakes.Where(i => i.Id == intakeId).ExecuteUpdateAsync(s => s.SetProperty(i => i.Question, (string?)null), stop);
        await all.CommitAsync(stop);
        return null;
    }
}
