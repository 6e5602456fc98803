using AftercarePortal.Web.Data;
using NodaTime;

namespace AftercarePortal.Web.Jobs;

/// <summary>Does many first tries of everyday jobs at once. Whatever was tried before, or is not everyday, goes alone.</summary>
internal sealed partial class JobsTogether(IServiceScopeFactory scopes, JobQueue queue, ILogger log)
{
    // A sixth of the lease: what is begun by then, and waits for a carrier until it gives up after ten seconds, has ended long before another may take it over.
    private static readonly Duration BeginsWithin = JobQueue.Lease / 6;

    /// <summary>Does a job just claimed together with others like it.</summary>
    /// <param name="begins">Told of each before anything is done.</param>
    /// <returns>How many; 0: this one is to be done alone, and nothing was.</returns>
    public async Task<int> Run(JobRow first, Action<JobRow> begins, CancellationToken stop)
    {
        if (first is not { Lane: JobTable.EverydayLane, Attempts: 1 }) return 0;
        var until = first.LeasedUntil!.Value - JobQueue.Lease + BeginsWithin;
        List<JobRow> jobs = [first];
        IReadOnlyCollection<string> done = [];
        string? failure = null;
        await using (var scope = scopes.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(first.ClinicId);
            if (scope.ServiceProvider.GetServices<IJobHandler>().SingleOrDefault(h => h.Kind == first.Kind) is not IJobsTogether handler) return 0;
            jobs.AddRange(await queue.ClaimMore(first, handler.Most - 1, stop));
            if (jobs.Count == 1) return 0;
            jobs.ForEach(begins);
            try
            {
                done = await handler.Run([.. jobs.Select(j => j.Subject).Distinct()], until, stop);
            }
            catch (Exception fault) when (!stop.IsCancellationRequested)
            {
                failure = fault.GetType().Name;
                TogetherFailed(log, jobs.Count, first.Kind, failure);
            }
        }

        // What was not done goes back at once, for whichever worker is free: none waits here behind another.
        var left = failure is null ? jobs.FindAll(j => !done.Contains(j.Subject)) : [];
        await queue.Settle([.. jobs.Except(left)], failure, stop);
        await queue.GiveBack(left, stop);
        return jobs.Count;
    }

    [LoggerMessage(LogLevel.Warning, "{Count} jobs of kind {Kind} failed together, each is tried alone: {Failure}")]
    private static partial void TogetherFailed(ILogger log, int count, string kind, string failure);
}
