using AftercarePortal.Web.Data;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Jobs;

/// <summary>Runs what is due: several workers, each beating into the database for as long as it goes round.</summary>
internal sealed partial class JobRunner : BackgroundService
{
    /// <summary>Tries before a job is parked and a person must look.</summary>
    public const int MostAttempts = 8;

    /// <summary>Tries of a job of the reading lane before somebody is told: where they fail within half a minute, where each ends without an answer within three leases.</summary>
    public const int TriesAlone = 3;

    /// <summary>Kind of the job stored in the same save as the claim for the try after <see cref="TriesAlone"/>; subject is the job's id. Done by Operations.</summary>
    public const string JobFails = "job-fails";

    /// <summary>Kind of the job stored in the same save as every parking; subject is the parked job's id. Done by Operations. Its own parking stores none.</summary>
    public const string JobParked = "job-parked";

    /// <summary>Workers of the quick lanes, each with an order of its own; one more has the slow ones.</summary>
    public const int QuickWorkers = 4;

    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(250);
    private static readonly int[] PageLanes = [.. JobTable.Lanes.Where(l => l < JobTable.CallLane)], QuickLanes = [.. JobTable.Lanes.Where(l => l < JobTable.SlowLane)], SlowLanes = [.. JobTable.Lanes.Except(QuickLanes)];

    // The order in which each worker of the quick lanes looks for work. The first has no call and no everyday text to wait for. When every text hangs at the carrier, the second
    // goes on reading what patients write and the third goes on placing calls, each before its next text. The last alone learns.
    private static readonly int[][] LanesOf = [PageLanes, First(JobTable.ReadLane), First(JobTable.CallLane), QuickLanes];
    private readonly IServiceScopeFactory _scopes;
    private readonly ILogger _log;
    private readonly JobQueue _queue;
    private readonly JobsTogether _together;
    private readonly WorkerBeat _beat;

    public JobRunner(IServiceScopeFactory scopes, TimeProvider time, ILogger<JobRunner> log)
    {
        (_scopes, _log, _queue, _beat) = (scopes, log, new(scopes, time), new(scopes, time));
        _together = new(scopes, _queue, log);
    }

    /// <summary>Does everything due now, also what that brings due now. Returns how many jobs ran.</summary>
    public Task<int> RunDue(CancellationToken stop = default) => RunDue(JobTable.Lanes, worker: 0, stop);

    /// <summary>Does the job that is due next, with others like it where they are done together.</summary>
    /// <param name="claimed">Told of each job before it is done.</param>
    /// <returns>False: nothing is due.</returns>
    public async Task<bool> RunNext(Action<JobRow> claimed, CancellationToken stop) => await Next(JobTable.Lanes, claimed, stop) > 0;

    private async Task<int> RunDue(int[] lanes, int worker, CancellationToken stop)
    {
        var ran = 0;
        await _beat.Of(worker, stop);
        while (await Next(lanes, _ => { }, stop) is > 0 and var more)
        {
            ran += more;
            await _beat.Of(worker, stop);
        }

        return ran;
    }

    // More than one, so that a carrier that hangs on one text does not hold up the next page; and one that no call and no everyday text can hold.
    // One more for the slow lanes, and nothing else: ten photos that hang take nobody's place.
    protected override Task ExecuteAsync(CancellationToken stop) =>
        Task.WhenAll([.. Enumerable.Range(0, QuickWorkers).Select(n => Work(LanesOf[n], n, stop)), Work(SlowLanes, QuickWorkers, stop)]);

    private static int[] First(int lane) => [lane, .. QuickLanes.Where(l => l != lane && l != JobTable.LearningLane)];

    private async Task Work(int[] lanes, int worker, CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
        {
            try
            {
                await RunDue(lanes, worker, stop);
            }
            catch (Exception fault) when (!stop.IsCancellationRequested)
            {
                // The database is away, or something gave up waiting for it: the jobs are safe in it, and the next round tries again.
                RoundFailed(_log, fault.GetType().Name);
            }

            await Task.Delay(Pause, stop).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    private async Task<int> Next(int[] lanes, Action<JobRow> claimed, CancellationToken stop)
    {
        if (await _queue.ClaimNext(lanes, stop) is not { } job) return 0;
        if (await _together.Run(job, claimed, stop) is > 0 and var ran) return ran;
        claimed(job);
        await RunOne(job, stop);
        return 1;
    }

    private async Task RunOne(JobRow job, CancellationToken stop)
    {
        string? failure = null;
        try
        {
            await using var scope = _scopes.CreateAsyncScope();
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(job.ClinicId);
            var handler = scope.ServiceProvider.GetServices<IJobHandler>().Single(h => h.Kind == job.Kind);
            await handler.Run(job.Subject, stop);
        }
        catch (Exception fault) when (!stop.IsCancellationRequested)
        {
            failure = fault.GetType().Name;
            JobFailed(_log, job.Id, job.Kind, job.Attempts, failure);
        }

        await _queue.Settle(job, failure, stop);
    }

    [LoggerMessage(LogLevel.Warning, "Job {Id} of kind {Kind} failed at attempt {Attempt}: {Failure}")]
    private static partial void JobFailed(ILogger log, Guid id, string kind, int attempt, string failure);

    [LoggerMessage(LogLevel.Error, "A round of jobs failed: {Failure}")]
    private static partial void RoundFailed(ILogger log, string failure);
}
