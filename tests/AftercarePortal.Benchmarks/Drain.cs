using System.Diagnostics;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Testing;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>Due steps handed to a carrier that answers at once, by one node: one patient for each step.</summary>
internal static class Drain
{
    private const int InFlight = 36;

    /// <summary>How fast something went: how many a second, and milliseconds of processor time each, of the portal and the carrier, without the database's.</summary>
    public readonly record struct Rate(double PerSecond, double Processor)
    {
        public static Rate Of(int count, Stopwatch watch, TimeSpan before) => new(count / watch.Elapsed.TotalSeconds, (Environment.CpuUsage.TotalTime - before).TotalMilliseconds / count);
    }

    /// <returns>The steps, from when the first fifth was taken to the last taken; and what no portal can be faster than: as many texts handed to the same carrier by the SDK alone, nothing read or kept.</returns>
    public static async Task<(Rate Steps, Rate Floor)> Run(ITestDatabase database, int steps)
    {
        var floor = default(Rate);
        await using var portal = await BenchPortal.Start(database, workers: true, async parts =>
        {
            await Due(parts, steps);
            await HandOver(parts, Math.Min(steps, 2000));
            var (started, used) = (Stopwatch.StartNew(), Environment.CpuUsage.TotalTime);
            await HandOver(parts, steps);
            floor = Rate.Of(steps, started, used);
        });
        using var done = new SemaphoreSlim(0);
        var (taken, warm, watch, before) = (0, steps / 5, new Stopwatch(), TimeSpan.Zero);
        portal.Carrier.Took += _ =>
        {
            var count = Interlocked.Increment(ref taken);
            if (count == warm) (watch, before) = (Stopwatch.StartNew(), Environment.CpuUsage.TotalTime);
            if (count == steps) done.Release();
        };
        if (!await done.WaitAsync(TimeSpan.FromMinutes(10))) throw new TimeoutException("The steps were not drained within ten minutes.");
        return (Rate.Of(steps - warm, watch, before), floor);
    }

    private static Task HandOver(IServiceProvider parts, int texts)
    {
        var (carrier, next) = (parts.GetRequiredService<TwilioCarrier>(), 0);
        return Task.WhenAll(Enumerable.Range(0, InFlight).Select(async _ =>
        {
            while (Interlocked.Increment(ref next) <= texts)
                if (await carrier.SendText("+12025550100", "+12025550123", Words, new("https://portal.example/carrier/delivery"), 14_400, default) is not SendOutcome.Accepted) throw new InvalidOperationException("The carrier did not take a text.");
        }));
    }

    private static readonly string Words = new('w', 200);

    // A number each, for a number gets one step an hour: 100,000 of those reserved for fiction, and where the area code begins with 0 or 1 of those nobody can have.
    private static string Number(int i) => $"+1{i / 100:000}55501{i % 100:00}";

    private static async Task Due(IServiceProvider parts, int steps)
    {
        await using var scope = parts.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var clinic = await db.Set<ClinicRow>().SingleAsync();
        clinic.QuietTo = clinic.QuietFrom;                                      // none: measured at any hour
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic.Id);
        var now = SystemClock.Instance.GetCurrentInstant();
        for (var i = 0; i < steps; i++)
        {
            var patient = new PatientRow { ClinicId = clinic.Id, Name = $"Patient {i}", Number = Number(i), AgreedToTextsAt = now };
            var step = new StepRow
            {
                ClinicId = clinic.Id, TreatmentId = patient.Id, PatientId = patient.Id, StepId = "drain", From = "drain.v1", Kind = StepKind.CheckIn, TextId = "aftercare-filler-day-1",
                DueAt = now, MissedWithinHours = 12, MissedThen = MissedAction.Skip, State = StepState.Planned, StateAt = now,
            };
            db.AddRange(patient, step);
            db.Enqueue(PlanAftercare.SendStep, step.Id.ToString(), step.DueAt, lane: 9);
            if (i % 2000 != 1999) continue;
            await db.SaveChangesAsync();
            db.ChangeTracker.Clear();
        }

        await db.SaveChangesAsync();
    }
}
