using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Writes the note from one shift to the next, and marks it read by somebody else.</summary>
internal sealed class HandOver(PortalDb db, TimeProvider time)
{
    /// <summary>Longest note, in characters.</summary>
    public const int Longest = 4000;

    /// <returns>What is wrong with it, or null when it was kept.</returns>
    public async Task<string?> Write(string person, string? text, CancellationToken stop)
    {
        if (text is { Length: > Longest }) return $"Write at most {Longest} characters.";
        var open = await db.Escalations.Where(e => e.ClosedAt == null).OrderBy(e => e.WrittenAt).Select(e => e.Id).ToListAsync(stop);
        if (string.IsNullOrWhiteSpace(text) && open.Count == 0) return "Write what the next one has to know. No report is open.";
        db.Add(new HandOverRow { WrittenBy = person, WrittenAt = time.GetCurrentInstant(), Text = (text ?? "").Trim(), OpenReports = string.Join(' ', open) });
        await db.SaveChangesAsync(stop);
        return null;
    }

    /// <summary>Marks it read, once; who wrote it cannot.</summary>
    public Task<int> Read(Guid id, string person, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        return db.HandOvers.Where(n => n.Id == id && n.ReadAt == null && n.WrittenBy != person)
            .ExecuteUpdateAsync(set => set.SetProperty(n => n.ReadBy, person).SetProperty(n => n.ReadAt, now), stop);
    }
}
