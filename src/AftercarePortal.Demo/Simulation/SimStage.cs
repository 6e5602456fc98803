using AftercarePortal.Web;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;

namespace AftercarePortal.Demo.Simulation;

/// <summary>The whole portal, not listening, on a clock that is put forward, an in-memory database and a carrier that misbehaves. One stage plays many seeds.</summary>
internal sealed class SimStage : IAsyncDisposable
{
    private readonly SqliteConnection _template = new("Data Source=:memory:");
    private readonly SqliteConnection _synced = new("Data Source=:memory:");
    private readonly WebApplication _portal;

    /// <param name="mutant">Plants a fault; null: none.</param>
    public SimStage(SimMutant? mutant = null)
    {
        Mutant = mutant;
        foreach (var database in new[] { _template, _synced, Database }) database.Open();
        _portal = Portal.Build(
            ["--Jobs:Run=false", "--Carrier:AccountSid=AC00000000000000000000000000000000", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", $"--Keys:Folder={Path.GetTempPath()}"],
            builder =>
            {
                builder.Logging.ClearProviders();
                builder.Services.AddSingleton<TimeProvider>(Clock);
                builder.Services.AddPooledDbContextFactory<SqlitePortalDb>(o => o.UseSqlite(Database).AddInterceptors(Faults));
                builder.Services.AddSingleton(s => new TwilioCarrier(s.GetRequiredService<IOptions<CarrierOptions>>(), Carrier));
                mutant?.Plant(builder.Services);
            });
        using var db = new SqlitePortalDb(new DbContextOptionsBuilder<SqlitePortalDb>().UseSqlite(_template).Options, new());
        db.Database.EnsureCreated();
        if (mutant is null) return;
        foreach (var sql in mutant.Schema) db.Database.ExecuteSqlRaw(sql);
        (Faults.Rewrite, Faults.BeforeSave) = (mutant.Rewrite, mutant.BeforeSave);
    }

    public SimMutant? Mutant { get; }
    public SimClock Clock { get; } = new();
    public SimCarrier Carrier { get; } = new();
    public SimFaults Faults { get; } = new();
    public SqliteConnection Database { get; } = new("Data Source=:memory:");
    public IServiceProvider Parts => _portal.Services;

    /// <summary>An empty database.</summary>
    public void Clear() => _template.BackupDatabase(Database);

    /// <summary>What power loss would leave from now on, on a database that does not sync each commit.</summary>
    public void Sync() => Database.BackupDatabase(_synced);

    /// <summary>Power fails: what was not synced is gone.</summary>
    public void LosePower() => _synced.BackupDatabase(Database);

    public async ValueTask DisposeAsync()
    {
        await _portal.DisposeAsync();
        await Database.DisposeAsync();
        await _template.DisposeAsync();
        await _synced.DisposeAsync();
    }
}
