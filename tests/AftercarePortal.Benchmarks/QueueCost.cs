using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>Claiming and settling one job that does nothing, with so many others waiting for later.</summary>
internal static class QueueCost
{
    private static readonly Guid Clinic = Guid.CreateVersion7();

    public static async Task<Timings> Run(ITestDatabase database, int waiting, int times)
    {
        await Wait(database, waiting);
        var services = new ServiceCollection();
        services.AddScoped<ClinicScope>();
        services.AddScoped(s => database.Open(s.GetRequiredService<ClinicScope>()));
        services.AddSingleton<IJobHandler, Nothing>();
        await using var parts = services.BuildServiceProvider();
        var runner = new JobRunner(parts.GetRequiredService<IServiceScopeFactory>(), TimeProvider.System, NullLogger<JobRunner>.Instance);
        var timings = new Timings();
        for (var i = 0; i < times + 20; i++)
        {
            await using (var db = database.Open(Clinic))
            {
                db.Enqueue("nothing", "1", SystemClock.Instance.GetCurrentInstant() - Duration.FromSeconds(1));
                await db.SaveChangesAsync();
            }

            if (i < 20) await runner.RunNext(_ => { }, default);
            else await timings.Time(() => runner.RunNext(_ => { }, default));
        }

        return timings;
    }

    // An hour from now, in every lane.
    private static async Task Wait(ITestDatabase database, int waiting)
    {
        var later = (SystemClock.Instance.GetCurrentInstant() + Duration.FromHours(1)).ToUnixTimeMilliseconds();
        await using var db = database.Open(Clinic);
        db.Database.SetCommandTimeout(600);
        var lanes = $"CASE n % 4 WHEN 0 THEN 0 WHEN 1 THEN 1 WHEN 2 THEN 5 ELSE 9 END";
        var sql = database.Kind == "sqlite"
            ? $"WITH RECURSIVE c(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c WHERE n < {waiting}) INSERT INTO Jobs (Id, ClinicId, Kind, Subject, DueAt, Lane, Attempts) SELECT printf('0190%04X-0000-7000-8000-%012X', n % 65536, n), '{Clinic.ToString().ToUpperInvariant()}', 'later', '1', {later} + n, {lanes}, 0 FROM c"
            : $"INSERT INTO \"Jobs\" (\"Id\", \"ClinicId\", \"Kind\", \"Subject\", \"DueAt\", \"Lane\", \"Attempts\") SELECT gen_random_uuid(), '{Clinic}', 'later', '1', {later} + n, {lanes}, 0 FROM generate_series(1, {waiting}) n";
        await db.Database.ExecuteSqlRawAsync(sql);
        await db.Database.ExecuteSqlRawAsync("ANALYZE");
    }

    private sealed class Nothing : IJobHandler
    {
        public string Kind => "nothing";

        public Task Run(string subject, CancellationToken stop) => Task.CompletedTask;
    }
}
