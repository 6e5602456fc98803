using System.Diagnostics;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Testing;
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
    /// <returns>Steps a second, from the start to the last taken; and milliseconds of processor time a step, of the portal and the carrier, without the database's.</returns>
    public static async Task<(double PerSecond, double Processor)> Run(ITestDatabase database, int steps)
    {
        await using var portal = await BenchPortal.Start(database, workers: true, parts => Due(parts, steps));
        using var done = new SemaphoreSlim(0);
        var taken = 0;
        portal.Carrier.Took += _ =>
        {
            if (Interlocked.Increment(ref taken) == steps) done.Release();
        };
        var (watch, before) = (Stopwatch.StartNew(), Environment.CpuUsage.TotalTime);
        if (!await done.WaitAsync(TimeSpan.FromMinutes(10))) throw new TimeoutException("The steps were not drained within ten minutes.");
        return (steps / watch.Elapsed.TotalSeconds, (Environment.CpuUsage.TotalTime - before).TotalMilliseconds / steps);
    }

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
            var patient = new PatientRow { ClinicId = clinic.Id, Name = $"Patient {i}", Number = $"+447700900{i % 1000:000}", AgreedToTextsAt = now };
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
