using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Proof;

/// <summary>One killed portal for each moment, all living at once: after a kill most of the time is waiting for a lease to run out.</summary>
public abstract class Killed_portals
{
    private readonly Dictionary<Moment, Task<Killed_portal.Aftermath>> _lives;

    private protected Killed_portals(Func<ITestDatabase> database) =>
        _lives = Enum.GetValues<Moment>().ToDictionary(m => m, m => Task.Run(async () =>
        {
            await using var portal = new Killed_portal(database());
            return await portal.Live(m);
        }));

    internal Task<Killed_portal.Aftermath> Of(Moment moment) => _lives[moment];
}

public sealed class Killed_portals_on_SQLite() : Killed_portals(ITestDatabase.Sqlite);

public sealed class Killed_portals_on_PostgreSQL() : Killed_portals(ITestDatabase.Postgres);
