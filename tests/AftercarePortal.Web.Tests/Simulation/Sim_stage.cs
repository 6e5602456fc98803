using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Builder;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>The whole portal, not listening, on a clock that is put forward, an in-memory database and a carrier that misbehaves. One stage plays many seeds.</summary>
internal sealed class Sim_stage : IAsyncDisposable
{
    private readonly SqliteConnection _template = new("Data Source=:memory:");
    private readonly WebApplication _portal;
    private SqliteConnection _database = new("Data Source=:memory:");

    /// <param name="plant">Replaces a part of the portal by a faulty one.</param>
    public Sim_stage(Action<IServiceCollection>? plant = null)
    {
        _template.Open();
        _portal = Portal.Build(
            ["--Jobs:Run=false", "--Carrier:AccountSid=AC00000000000000000000000000000000", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example"],
            builder =>
            {
                builder.Logging.ClearProviders();
                builder.Services.AddSingleton<TimeProvider>(Clock);
                builder.Services.AddScoped<PortalDb>(s => Open(_database, s.GetRequiredService<ClinicScope>()));
                builder.Services.AddSingleton(s => new TwilioCarrier(s.GetRequiredService<IOptions<CarrierOptions>>(), Wire));
                plant?.Invoke(builder.Services);
            });
        using var db = Open(_template, new());
        db.Database.EnsureCreated();
    }

    public Sim_clock Clock { get; } = new();
    public Sim_wire Wire { get; } = new();
    public Sim_crashes Crashes { get; } = new();
    public IServiceProvider Parts => _portal.Services;

    /// <summary>An empty database.</summary>
    public void Clear()
    {
        _database.Dispose();
        _database = new("Data Source=:memory:");
        _database.Open();
        _template.BackupDatabase(_database);
    }

    private SqlitePortalDb Open(SqliteConnection connection, ClinicScope scope) =>
        new(new DbContextOptionsBuilder<SqlitePortalDb>().UseSqlite(connection).AddInterceptors(Crashes).Options, scope);

    public async ValueTask DisposeAsync()
    {
        await _portal.DisposeAsync();
        await _database.DisposeAsync();
        await _template.DisposeAsync();
    }
}
