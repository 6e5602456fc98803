using NodaTime;

namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>A clock that stands where it was put.</summary>
internal sealed class Sim_clock : TimeProvider
{
    public Instant Now { get; set; }

    public override DateTimeOffset GetUtcNow() => Now.ToDateTimeOffset();
}
