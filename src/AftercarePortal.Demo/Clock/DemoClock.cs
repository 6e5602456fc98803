using System.Globalization;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Demo.Clock;

/// <summary>The demo's time: it runs at real speed and can be moved forward, never back.</summary>
/// <remarks>Timers stay real: the portal's workers poll, so they find what a move made due at their next look.</remarks>
internal sealed class DemoClock : TimeProvider
{
    private readonly Lock _moving = new();
    private readonly string? _keptIn;
    private long _aheadTicks;

    /// <param name="keptIn">File that keeps how far ahead it is, so that a demo started again does not go back in time; null: nowhere.</param>
    public DemoClock(string? keptIn = null)
    {
        _keptIn = keptIn;
        if (keptIn is not null && File.Exists(keptIn)) _aheadTicks = long.Parse(File.ReadAllText(keptIn), NumberStyles.None, CultureInfo.InvariantCulture);
    }

    public Instant Now => this.GetCurrentInstant();

    public override DateTimeOffset GetUtcNow() => base.GetUtcNow().AddTicks(Interlocked.Read(ref _aheadTicks));

    /// <summary>Moves it forward to an instant. False: that is in the past, and nothing was moved.</summary>
    public bool MoveTo(Instant at)
    {
        lock (_moving)
        {
            var by = at - Now;
            if (by < Duration.Zero) return false;
            var ahead = Interlocked.Add(ref _aheadTicks, (long)by.TotalTicks);
            if (_keptIn is not null) File.WriteAllText(_keptIn, ahead.ToString(CultureInfo.InvariantCulture));
            return true;
        }
    }
}
