using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>True time, put forward by the story, and what the machines' clock shows of it: it can be wrong.</summary>
internal sealed class SimClock : TimeProvider
{
    /// <summary>True time: never goes back.</summary>
    public Instant Now { get; private set; }

    /// <summary>How far the machines' clock is ahead of true time; negative: behind.</summary>
    public Duration Wrong { get; set; }

    /// <summary>What the machines' clock shows.</summary>
    public Instant Shown => Now + Wrong;

    public void Begin(Instant at) => (Now, Wrong) = (at, Duration.Zero);

    public void MoveTo(Instant at) => Now = Instant.Max(Now, at);

    public override DateTimeOffset GetUtcNow() => Shown.ToDateTimeOffset();
}
