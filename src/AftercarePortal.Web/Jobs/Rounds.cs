namespace AftercarePortal.Web.Jobs;

/// <summary>Looks at something again and again for as long as the process lives. No job, so that nothing can give it up: a round that fails is told of, and the next looks again.</summary>
internal abstract partial class Rounds(TimeSpan every, ILogger log) : BackgroundService
{
    /// <summary>One look.</summary>
    protected abstract Task Round(CancellationToken stop);

    protected sealed override async Task ExecuteAsync(CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
        {
            await Guarded(() => Round(stop), stop);
            await Task.Delay(every, stop).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    /// <summary>A part of a round: when it fails it is told of, and the other parts do not wait for it.</summary>
    protected async Task Guarded(Func<Task> look, CancellationToken stop)
    {
        try
        {
            await look();
        }
        catch (Exception fault) when (!stop.IsCancellationRequested)
        {
            RoundFailed(log, GetType().Name, fault.GetType().Name);
        }
    }

    [LoggerMessage(LogLevel.Error, "A round of {Who} failed: {Failure}")]
    private static partial void RoundFailed(ILogger log, string who, string failure);
}
