using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>A shift begins: whoever has it gets a test page, and another each day a long shift lasts. A shift taken off the rota asks nobody, nor one of somebody who was let go, until they are let in again.</summary>
internal sealed class ShiftBegins(PortalDb db, SendTestPage test, TimeProvider time) : IJobHandler
{
    public string Kind => RotaJobs.ShiftBegins;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject);
        if (await db.Shifts.AsNoTracking().SingleOrDefaultAsync(s => s.Id == id && s.To > now, stop) is not { } shift) return;
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        var began = shift.From.InZone(zone).LocalDateTime;
        var day = Math.Max(0, Period.Between(began, now.InZone(zone).LocalDateTime, PeriodUnits.Days).Days);
        var counts = (await db.ShiftsThatCount(now, stop)).Exists(s => s.Id == id);
        if (counts && !await test.Run(shift.Person, shift.Number, $"shift:{shift.Id}:{day}", now, stop)) return;       // a second run
        var next = began.PlusDays(day + 1).InZoneLeniently(zone).ToInstant();
        if (next < shift.To) db.Enqueue(Kind, subject, next, lane: 1);
        await db.SaveChangesAsync(stop);
    }
}

/// <summary>A test page was not taken in time: the next on call and whoever leads the practice are warned before a report comes. May run twice; warns once. Of a shift that was swapped or taken off meanwhile it says nothing.</summary>
internal sealed class TestPageDue(PortalDb db, WarnOfContact warn, TimeProvider time) : IJobHandler
{
    public string Kind => RotaJobs.TestDue;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject);
        var test = await db.TestPages.SingleAsync(t => t.Id == id, stop);
        if (test.TakenAt is not null || test.MissedAt is not null) return;
        if (test.Key.Split(':') is ["shift", var shift, ..] && !(await db.ShiftsThatCount(now, stop)).Exists(s => s.Id == Guid.Parse(shift) && s.Person == test.Person)) return;
        test.MissedAt = now;
        await warn.Run($"test-{test.Id}", test.Person, "page-test-missed", now, stop);
        await db.SaveChangesAsync(stop);
    }
}
