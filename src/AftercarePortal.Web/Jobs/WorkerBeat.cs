using System.Globalization;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Jobs;

/// <summary>Each worker of this process says in the database that it goes round: so it says both, that it lives and that what it writes is kept.</summary>
internal sealed class WorkerBeat(IServiceScopeFactory scopes, TimeProvider time)
{
    /// <summary>A worker silent for longer counts as dead.</summary>
    public static readonly Duration Late = Duration.FromMinutes(2);

    private static readonly Duration Every = Duration.FromSeconds(10), Forgotten = Duration.FromDays(1);
    private static readonly string Node = string.Create(CultureInfo.InvariantCulture, $"{Environment.MachineName}:{Environment.ProcessId}");
    private readonly Instant?[] _last = new Instant?[JobRunner.QuickWorkers + 1];

    /// <summary>Beats for one worker, at most every ten seconds.</summary>
    public async Task Of(int worker, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (now - _last[worker] is { } since && since >= Duration.Zero && since < Every) return;
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        if (await db.WorkerBeats.Where(b => b.Node == Node && b.Worker == worker).ExecuteUpdateAsync(set => set.SetProperty(b => b.At, now), stop) == 0)
        {
            await db.WorkerBeats.Where(b => b.At < now - Forgotten).ExecuteDeleteAsync(stop);      // of processes that are long gone
            db.Add(new WorkerBeatRow { Node = Node, Worker = worker, At = now });
            try
            {
                await db.SaveChangesAsync(stop);
            }
            catch (DbUpdateException)
            {
                if (!await db.WorkerBeats.AnyAsync(b => b.Node == Node && b.Worker == worker, stop)) throw;      // two at once: one row is enough
            }
        }

        _last[worker] = now;
    }
}

internal static class WorkerBeats
{
    extension(PortalDb db)
    {
        /// <summary>Whether some process works, and none goes on with one of its workers dead.</summary>
        public async Task<bool> WorkersGoRound(Instant now, CancellationToken stop)
        {
            var nodes = (await db.WorkerBeats.AsNoTracking().ToListAsync(stop)).GroupBy(b => b.Node).Select(n => (First: n.Min(b => b.At), Last: n.Max(b => b.At))).ToList();
            return nodes.Exists(n => n.First >= now - WorkerBeat.Late) && !nodes.Exists(n => n.Last >= now - WorkerBeat.Late && n.Last - n.First > WorkerBeat.Late);
        }
    }
}
