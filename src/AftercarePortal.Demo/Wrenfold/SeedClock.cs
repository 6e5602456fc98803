using NodaTime;

namespace AftercarePortal.Demo.Wrenfold;

/// <summary>A clock that stands at one instant of the past.</summary>
internal sealed class SeedClock(Instant at) : TimeProvider
{
    public override DateTimeOffset GetUtcNow() => at.ToDateTimeOffset();
}
