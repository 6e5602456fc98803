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

    private const int Workers = 3;
    private static readonly Duration Lease = Duration.FromSeconds(30);
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(250);

    /// <summary>Does everything due now, also what that brings due now. Returns how many jobs ran.</summary>
    public Task<int> RunDue(CancellationToken stop = default) => RunDue(0, int.MaxValue, stop);

    private async Task<int> RunDue(int firstLane, int lastLane, CancellationToken stop)
    {
        var ran = 0;
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
                await db.Jobs.Where(j => j.Id == job.Id && j.Attempts == job.Attempts).ExecuteUpdateAsync(set => set.SetProperty(j => j.ParkedAt, now), stop);
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
        var mine = scope.ServiceProvider.GetRequiredService<PortalDb>().Jobs.Where(j => j.Id == job.Id && j.Attempts == job.Attempts);
        if (failure is null)
            await mine.ExecuteUpdateAsync(set => set.SetProperty(j => j.DoneAt, now), stop);
        else if (job.Attempts >= MostAttempts)
            await mine.ExecuteUpdateAsync(set => set.SetProperty(j => j.ParkedAt, now).SetProperty(j => j.LastFailure, failure), stop);
        else
            await mine.ExecuteUpdateAsync(
                set => set.SetProperty(j => j.DueAt, now + Duration.FromSeconds(1 << job.Attempts))
                    .SetProperty(j => j.LeasedUntil, (Instant?)null).SetProperty(j => j.LastFailure, failure), stop);
    }

    [LoggerMessage(LogLevel.Warning, "Job {Id} of kind {Kind} failed at attempt {Attempt}: {Failure}")]
    private static partial void JobFailed(ILogger log, Guid id, string kind, int attempt, string failure);

    [LoggerMessage(LogLevel.Error, "A round of jobs failed: {Failure}")]
    private static partial void RoundFailed(ILogger log, string failure);
}
