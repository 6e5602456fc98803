using AftercarePortal.Web.Jobs;
using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>One machine that runs the portal.</summary>
/// <param name="apart">How far its clock is ahead of the others; negative: behind.</param>
internal sealed class SimNode(string name, JobRunner runner, Duration apart)
{
    public string Name => name;
    public JobRunner Runner => runner;
    public Duration Apart => apart;

    /// <summary>Whether its process runs.</summary>
    public bool Up { get; set; } = true;

    /// <summary>Whether its process was killed in the middle of something that has not come to its end yet.</summary>
    public bool Dead => Life.IsCancellationRequested;

    /// <summary>Ends with the process.</summary>
    public CancellationTokenSource Life { get; private set; } = new();

    public void StartAgain() => (Up, Life) = (true, new());
}
