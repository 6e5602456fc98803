using System.Globalization;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>From a report stored (the carrier's 200) to its page accepted by the carrier, with 1,000 other reports open and their timers waiting.</summary>
internal static class ReportToPage
{
    private const int Open = 1000;

    public static async Task<Timings> Run(ITestDatabase database, int times)
    {
        await using var portal = await BenchPortal.Start(database, workers: true, OpenReports);
        using var pages = new SemaphoreSlim(0);
        portal.Carrier.Took += line =>
        {
            if (line.To == Seed.FirstOnCall && !line.IsCall) pages.Release();
        };
        var timings = new Timings();
        for (var i = 0; i < times; i++)
        {
            await portal.Carrier.Text(string.Create(CultureInfo.InvariantCulture, $"+120255501{i % 100:00}"), Seed.ClinicNumber, "my skin has gone white where you injected and it hurts more and more");
            await timings.Time(async () =>
            {
                if (!await pages.WaitAsync(TimeSpan.FromMinutes(1))) throw new TimeoutException("No page came within a minute.");
            });
        }

        return timings;
    }

    private static async Task OpenReports(IServiceProvider parts)
    {
        await using var scope = parts.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var clinic = await db.Set<Web.Features.Settings.ClinicRow>().Select(c => c.Id).SingleAsync();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        var now = SystemClock.Instance.GetCurrentInstant();
        for (var i = 0; i < Open; i++)
        {
            var number = string.Create(CultureInfo.InvariantCulture, $"+447700900{i:000}");
            var report = new EscalationRow { ClinicId = clinic, Number = number, Ref = $"B{i:000}", Tier = Tier.SameDay, OpenedAt = now, WrittenAt = now, OpenKey = number };
            db.Add(report);
            db.Note(report, EscalationEvent.Opened, now);
            db.Note(report, EscalationEvent.Paged, now, "Iris Hale");
            db.Enqueue(EscalationJobs.AckDue, $"{report.Id}:1", now + Duration.FromHours(1), lane: 0);
        }

        await db.SaveChangesAsync();
    }
}
