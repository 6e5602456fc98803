using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>A machine can stand still between two statements of one save, with rows locked that others wait for.</summary>
[Source("PostgreSQL 17 manual, 19.11 Client Connection Defaults", "idle_in_transaction_session_timeout: ends a session that idles in an open transaction, whose locks are then free")]
public sealed class A_machine_that_stands_still_on_PostgreSQL : IDisposable
{
    private readonly ITestDatabase _database = ITestDatabase.Postgres();

    public void Dispose() => _database.Dispose();

    [Fact]
    public async Task Holds_others_up_no_longer_than_its_leases()
    {
        await using var portal = Portal("");
        Assert.Equal($"{JobQueue.Lease.TotalSeconds}s", await Setting(portal));
    }

    [Fact]
    public async Task Loses_its_save_and_the_one_that_waited_goes_on()
    {
        await using (var db = _database.Open(Guid.Empty))
        {
            db.Add(new JobRow { ClinicId = Guid.CreateVersion7(), Kind = "told", Subject = "before", DueAt = default, Lane = 5 });
            await db.SaveChangesAsync();
        }

        await using var portal = Portal(";Options=-c idle_in_transaction_session_timeout=500ms");
        await using var still = portal.CreateAsyncScope();
        await using var other = portal.CreateAsyncScope();
        var (frozen, awake) = (still.ServiceProvider.GetRequiredService<PortalDb>(), other.ServiceProvider.GetRequiredService<PortalDb>());
        await using var save = await frozen.Database.BeginTransactionAsync();
        await frozen.Jobs.IgnoreQueryFilters().ExecuteUpdateAsync(set => set.SetProperty(j => j.Subject, "of the one that stands still"));

        await awake.Jobs.IgnoreQueryFilters().ExecuteUpdateAsync(set => set.SetProperty(j => j.Subject, "of the other"));
        await Assert.ThrowsAnyAsync<Exception>(() => save.CommitAsync());
        Assert.Equal("of the other", await awake.Jobs.IgnoreQueryFilters().Select(j => j.Subject).SingleAsync());
    }

    private ServiceProvider Portal(string more)
    {
        var services = new ServiceCollection();
        services.AddData(new ConfigurationBuilder().AddInMemoryCollection(new Dictionary<string, string?> { ["Database:Kind"] = "postgres", ["Database:Connection"] = _database.Connection + more }).Build());
        return services.BuildServiceProvider();
    }

    private static async Task<string> Setting(ServiceProvider portal)
    {
        await using var scope = portal.CreateAsyncScope();
        return (await scope.ServiceProvider.GetRequiredService<PortalDb>().Database.SqlQueryRaw<string>("SELECT current_setting('idle_in_transaction_session_timeout') AS \"Value\"").ToListAsync()).Single();
    }
}
