using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Somebody of staff has another number: pages go there from now on, also on the shifts that have not ended. Until a test page is taken from it, whoever is next is paged too.</summary>
internal sealed class ChangeNumber(PortalDb db, SendTestPage test, WarnOfContact warn, TimeProvider time)
{
    /// <summary>First part of the key of the test page that proves a new number.</summary>
    public const string TestKey = "number:";

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Done : Outcome;
        public sealed record Refused(string Reason) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="by">Staff id of whoever changes it, whose second factor was just checked.</param>
    public async Task<Outcome> Run(string person, string? typed, string by, CancellationToken stop)
    {
        var (now, number) = (time.GetCurrentInstant(), typed?.Replace(" ", "", StringComparison.Ordinal));
        if (!StaffBook.IsNumber(number)) return new Outcome.Refused(StaffBook.WriteANumber);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        if (number == clinic.PatientNumber || number == clinic.PageNumber) return new Outcome.Refused("This is a number of the clinic itself.");

        await using var all = await db.Database.BeginTransactionAsync(stop);
        if (await db.StaffOfClinic.SingleOrDefaultAsync(s => s.Id == person, stop) is not { IsLetGo: false } staff) return new Outcome.NotFound();
        if (staff.PageNumber == number) return new Outcome.Refused($"{staff.FullName} has this number already.");
        var change = new NumberChangeRow { Person = person, Before = staff.PageNumber, Number = number!, ChangedBy = by, ChangedAt = now };
        db.Add(change);
        (staff.PageNumber, staff.ConcurrencyStamp) = (number!, Guid.NewGuid().ToString());
        var shifts = await db.Shifts.Where(s => s.Person == person && s.To > now).ToListAsync(stop);
        shifts.ForEach(shift => shift.Number = number!);
        await test.Run(person, number!, $"{TestKey}{change.Id}", now, stop);
        await db.SaveChangesAsync(stop);
        // On call at this moment: the next person and whoever leads the practice must know before a report comes.
        if (shifts.Exists(s => s.AsShift().Holds(now))) await warn.Run($"number-{change.Id}", person, "page-number-new", now, stop);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return new Outcome.Done();
    }
}
