using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Jobs;

/// <summary>Runs what is due. Claims by a conditional update with a lease, so two runners never do one job at once.</summary>
internal sealed partial class JobRunner(IServiceScopeFactory scopes, TimeProvider time, ILogger<JobRunner> log) : BackgroundService
{
    /// <summary>Tries before a job is parked and a person must look.</summary>
    public const int MostAttempts = 8;

    /// <summary>Kind of the job stored in the same save as every parking; subject is the parked job's id. Done by Operations. Its own parking stores none.</summary>
    public const string JobParked = "job-parked";

    private const int Workers = 3;
    private static readonly Duration Lease = Duration.FromSeconds(30);
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(250);
    private static readonly Duration BeatEvery = Duration.FromSeconds(10);
    private Instant _lastBeat;

    /// <summary>Does everything due now, also what that brings due now. Returns how many jobs ran.</summary>
    public Task<int> RunDue(CancellationToken stop = default) => RunDue(0, int.MaxValue, stop);

    private async Task<int> RunDue(int firstLane, int lastLane, CancellationToken stop)
    {
        var ran = 0;
        await Beat(stop);
        while (await ClaimNext(firstLane, lastLane, stop) is { } job)
        {
            await RunOne(job, stop);
            ran++;
        }

        return ran;
    }

    // More than one, so that a carrier that hangs on one text does not hold up the next page.
    // One more for the slow lanes, and nothing else: ten photos that hang take nobody's place.
    protected override Task ExecuteAsync(CancellationToken stop) =>
        Task.WhenAll([.. Enumerable.Range(0, Workers).Select(_ => Work(0, JobTable.SlowLane - 1, stop)), Work(JobTable.SlowLane, int.MaxValue, stop)]);

    private async Task Work(int firstLane, int lastLane, CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
        {
            try
            {
                await RunDue(firstLane, lastLane, stop);
            }
            catch (Exception fault) when (fault is not OperationCanceledException)
            {
                // The database is away: the jobs are safe in it, and the next round tries again.
                RoundFailed(log, fault.GetType().Name);
            }

            await Task.Delay(Pause, stop).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    private async Task<JobRow?> ClaimNext(int firstLane, int lastLane, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        while (true)
        {
            var job = await db.Jobs.AsNoTracking()
                .Where(j => j.Lane >= firstLane && j.Lane <= lastLane && j.DoneAt == null && j.ParkedAt == null && j.DueAt <= now && (j.LeasedUntil == null || j.LeasedUntil <= now))
                .OrderBy(j => j.Lane).ThenBy(j => j.DueAt).ThenBy(j => j.Id)
                .FirstOrDefaultAsync(stop);
            if (job is null) return null;
            if (job.Attempts >= MostAttempts)
            {
                // Its last lease ran out without an answer: it may be what kills the process, so a person must look.
                await Park(db, job, failure: null, now, stop);
                continue;
            }

            var claimed = await db.Jobs
                .Where(j => j.Id == job.Id && j.Attempts == job.Attempts && j.DoneAt == null && (j.LeasedUntil == null || j.LeasedUntil <= now))
                .ExecuteUpdateAsync(set => set.SetProperty(j => j.Attempts, job.Attempts + 1).SetProperty(j => j.LeasedUntil, now + Lease), stop);
            job.Attempts++;
            if (claimed == 1) return job;
        }
    }

    private async Task RunOne(JobRow job, CancellationToken stop)
    {
        string? failure = null;
        try
        {
            await using var scope = scopes.CreateAsyncScope();
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(job.ClinicId);
            var handler = scope.ServiceProvider.GetServices<IJobHandler>().Single(h => h.Kind == job.Kind);
            await handler.Run(job.Subject, stop);
        }
        catch (Exception fault) when (!stop.IsCancellationRequested)
        {
            failure = fault.GetType().Name;
            JobFailed(log, job.Id, job.Kind, job.Attempts, failure);
        }

        await Settle(job, failure, stop);
    }

    // Attempts is the fencing number: a worker that lost its lease changes nothing.
    private async Task Settle(JobRow job, string? failure, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var mine = db.Jobs.Where(j => j.Id == job.Id && j.Attempts == job.Attempts);
        if (failure is null)
            await mine.ExecuteUpdateAsync(set => set.SetProperty(j => j.DoneAt, now), stop);
        else if (job.Attempts >= MostAttempts)
            await Park(db, job, failure, now, stop);
        else
            await mine.ExecuteUpdateAsync(
                set => set.SetProperty(j => j.DueAt, now + Duration.FromSeconds(1 << job.Attempts))
                    .SetProperty(j => j.LeasedUntil, (Instant?)null).SetProperty(j => j.LastFailure, failure), stop);
    }

    // Parked and told of, both or neither. An alarm that cannot be raised raises no further one: it shows on the operations page and in /health.
    private static async Task Park(PortalDb db, JobRow job, string? failure, Instant now, CancellationToken stop)
    {
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var parked = await db.Jobs
            .Where(j => j.Id == job.Id && j.Attempts == job.Attempts && j.DoneAt == null && j.ParkedAt == null)
            .ExecuteUpdateAsync(set => set.SetProperty(j => j.ParkedAt, now).SetProperty(j => j.LastFailure, j => failure ?? j.LastFailure), stop);
        if (parked == 1 && job.Kind != JobParked)
        {
            db.Add(new JobRow { ClinicId = job.ClinicId, Kind = JobParked, Subject = job.Id.ToString(), DueAt = now, Lane = 0 });
            await db.SaveChangesAsync(stop);
        }

        await all.CommitAsync(stop);
    }

    // Written to the database, so that it says both: the worker goes round, and what it writes is kept.
    private async Task Beat(CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (now - _lastBeat is var since && since >= Duration.Zero && since < BeatEvery) return;
        _lastBeat = now;
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        if (await db.WorkerBeats.Where(b => b.Node == Environment.MachineName).ExecuteUpdateAsync(set => set.SetProperty(b => b.At, now), stop) > 0) return;
        db.Add(new WorkerBeatRow { Node = Environment.MachineName, At = now });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            if (!await db.WorkerBeats.AnyAsync(b => b.Node == Environment.MachineName, stop)) throw;      // two workers of one machine at once: one row is enough
        }
    }

    [LoggerMessage(LogLevel.Warning, "Job {Id} of kind {Kind} failed at attempt {Attempt}: {Failure}")]
    private static partial void JobFailed(ILogger log, Guid id, string kind, int attempt, string failure);

    [LoggerMessage(LogLevel.Error, "A round of jobs failed: {Failure}")]
    private static partial void RoundFailed(ILogger log, string failure);
}
