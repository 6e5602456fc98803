using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>True time, put forward by the story, and what the machines' clocks show of it: they can be wrong, and apart from each other.</summary>
internal sealed class SimClock : TimeProvider
{
    /// <summary>True time: never goes back.</summary>
    public Instant Now { get; private set; }

    /// <summary>How far the machines' clocks are ahead of true time; negative: behind.</summary>
    public Duration Wrong { get; set; }

    /// <summary>How far the clock of the machine that works now is ahead of the others besides; negative: behind.</summary>
    public Duration Apart { get; set; }

    /// <summary>What the clock of the machine that works now shows.</summary>
    public Instant Shown => Now + Wrong + Apart;

    public void Begin(Instant at) => (Now, Wrong, Apart) = (at, Duration.Zero, Duration.Zero);

    public void MoveTo(Instant at) => Now = Instant.Max(Now, at);

    public override DateTimeOffset GetUtcNow() => Shown.ToDateTimeOffset();
}
