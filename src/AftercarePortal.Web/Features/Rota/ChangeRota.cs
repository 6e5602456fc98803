using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using NodaTime.Text;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Adds shifts, hands them to somebody else, takes them away, and keeps who is away. What was on call stays as it was: only what is left of a shift changes.</summary>
internal sealed class ChangeRota(PortalDb db, TimeProvider time)
{
    private static readonly LocalDateTimePattern Typed = LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd'T'HH:mm");

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Changed : Outcome;
        /// <summary>What is wrong, by field.</summary>
        public sealed record Faulty(IReadOnlyDictionary<string, string> Faults) : Outcome;
        /// <summary>No such shift, or it is over.</summary>
        public sealed record NotFound : Outcome;
    }

    /// <summary>Adds one shift. A time the clocks skip moves on by the gap; of a time that comes twice the first counts.</summary>
    /// <param name="person">Id of the member of staff.</param>
    /// <param name="by">Staff id of who adds it; kept.</param>
    public async Task<Outcome> Add(string? person, string? from, string? to, int order, string by, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        var staff = (await db.StaffToPage(stop)).FirstOrDefault(s => s.Id == person);
        var (begins, ends) = (Read(from, zone), Read(to, zone));
        var faults = new Dictionary<string, string>();
        if (staff is null) faults["Person"] = "Choose somebody of your staff.";
        if (begins is null) faults["From"] = "Give the day and time it begins.";
        if (ends is null) faults["To"] = "Give the day and time it ends.";
        else if (ends <= begins) faults["To"] = "A shift ends after it begins.";
        else if (ends <= now) faults["To"] = "This shift would be over already.";
        if (order is < 1 or > 9) faults["Order"] = "Give a place from 1, paged first, to 9.";
        if (faults.Count == 0 && (await db.AbsencesFrom(begins!.Value, stop)).Find(a => a.Person == person && a.From < ends) is { } away)
            faults["Person"] = $"{staff!.FullName} is away {FlawWords.Span(away.From, away.To, zone)}.";
        if (faults.Count > 0) return new Outcome.Faulty(faults);

        Begin(new() { Person = staff!.Id, Number = staff.PageNumber, From = begins!.Value, To = ends!.Value, Order = order }, by, now);
        await db.SaveChangesAsync(stop);
        return new Outcome.Changed();
    }

    /// <summary>Adds many shifts in one save.</summary>
    /// <param name="shifts">Staff id, begin and end of each; somebody who is not staff any more, or away then, is left out.</param>
    /// <param name="by">Staff id of who adds them; kept.</param>
    /// <returns>How many were added.</returns>
    public async Task<int> AddAll(IReadOnlyList<(string Person, Instant From, Instant To)> shifts, int order, string by, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var numbers = (await db.StaffToPage(stop)).ToDictionary(s => s.Id, s => s.PageNumber);
        var added = 0;
        var away = await db.AbsencesFrom(now, stop);
        foreach (var (person, begins, ends) in shifts.Where(s => s.To > now && s.To > s.From && numbers.ContainsKey(s.Person) && !away.Exists(a => a.Person == s.Person && a.From < s.To && a.To > s.From)))
        {
            Begin(new() { Person = person, Number = numbers[person], From = begins, To = ends, Order = order }, by, now);
            added++;
        }

        await db.SaveChangesAsync(stop);
        return added;
    }

    /// <summary>Gives what is left of a shift to somebody else.</summary>
    /// <param name="by">Staff id of who gives it; kept.</param>
    public async Task<Outcome> Swap(Guid id, string? person, string by, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if ((await db.StaffToPage(stop)).FirstOrDefault(s => s.Id == person) is not { } staff)
            return new Outcome.Faulty(new Dictionary<string, string> { [$"swap-{id}"] = "Choose somebody of your staff." });
        if (await Left(id, now, stop) is not { } shift) return new Outcome.NotFound();
        if ((await db.AbsencesFrom(Instant.Max(shift.From, now), stop)).Find(a => a.Person == person && a.From < shift.To) is { } away)
        {
            var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
            return new Outcome.Faulty(new Dictionary<string, string> { [$"swap-{id}"] = $"{staff.FullName} is away {FlawWords.Span(away.From, away.To, zone)}." });
        }

        Begin(new() { Person = staff.Id, Number = staff.PageNumber, From = Instant.Max(shift.From, now), To = shift.To, Order = shift.Order }, by, now);
        End(shift, now, by, now);
        await db.SaveChangesAsync(stop);
        return new Outcome.Changed();
    }

    /// <summary>Takes away what is left of a shift. The gap this makes is warned of.</summary>
    /// <param name="by">Staff id of who takes it away; kept.</param>
    public async Task<Outcome> Leave(Guid id, string by, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (await Left(id, now, stop) is not { } shift) return new Outcome.NotFound();
        End(shift, now, by, now);
        await db.SaveChangesAsync(stop);
        return new Outcome.Changed();
    }

    /// <summary>Keeps that somebody is away, and takes the shifts of that time off the rota. What lies before and after stays theirs; the gaps are warned of.</summary>
    /// <param name="enteredBy">Full name of whoever enters it.</param>
    /// <param name="by">The same person's staff id; kept with each shift that changes.</param>
    public async Task<Outcome> Away(string? person, string? from, string? to, string enteredBy, string by, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        var (begins, ends) = (Read(from, zone), Read(to, zone));
        var faults = new Dictionary<string, string>();
        if ((await db.StaffToPage(stop)).All(s => s.Id != person)) faults["AwayPerson"] = "Choose somebody of your staff.";
        if (begins is null) faults["AwayFrom"] = "Give the day and time they leave.";
        if (ends is null) faults["AwayTo"] = "Give the day and time they are back.";
        else if (ends <= begins) faults["AwayTo"] = "Nobody is back before they leave.";
        else if (ends <= now) faults["AwayTo"] = "This would be over already.";
        if (faults.Count > 0) return new Outcome.Faulty(faults);

        var (leaves, back) = (Instant.Max(begins!.Value, now), ends!.Value);
        if (await db.Absences.AnyAsync(a => a.Person == person && a.From <= leaves && a.To >= back, stop)) return new Outcome.Changed();      // sent twice
        foreach (var shift in await db.Shifts.Where(s => s.Person == person && s.To > leaves && s.From < back).ToListAsync(stop))
        {
            if (shift.To > back) Begin(new() { Person = shift.Person, Number = shift.Number, From = back, To = shift.To, Order = shift.Order }, by, now, keep: false);
            End(shift, leaves, by, now, until: Instant.Min(shift.To, back));
        }

        db.Add(new AbsenceRow { Person = person!, From = leaves, To = back, EnteredBy = enteredBy, EnteredAt = now });
        await db.SaveChangesAsync(stop);
        return new Outcome.Changed();
    }

    /// <summary>Somebody is back earlier, or does not leave at all. Shifts that were taken off the rota stay off: somebody else may have them.</summary>
    public async Task<Outcome> Back(Guid id, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (await db.Absences.SingleOrDefaultAsync(a => a.Id == id && a.To > now, stop) is not { } absence) return new Outcome.NotFound();
        if (absence.From >= now) db.Remove(absence);
        else absence.To = now;
        await db.SaveChangesAsync(stop);
        return new Outcome.Changed();
    }

    private Task<ShiftRow?> Left(Guid id, Instant now, CancellationToken stop) => db.Shifts.SingleOrDefaultAsync(s => s.Id == id && s.To > now, stop);

    // Whoever begins a shift gets a test page.
    private void Begin(ShiftRow shift, string by, Instant now, bool keep = true)
    {
        db.Add(shift);
        if (keep) db.Add(new RotaChangeRow { What = RotaChange.PutOn, Person = shift.Person, From = shift.From, To = shift.To, By = by, At = now });
        db.Enqueue(RotaJobs.ShiftBegins, shift.Id.ToString(), Instant.Max(shift.From, now), lane: 1);
    }

    // What is taken off ends where the shift does, or at an instant before, from which on it stays theirs.
    private void End(ShiftRow shift, Instant at, string by, Instant now, Instant? until = null)
    {
        db.Add(new RotaChangeRow { What = RotaChange.TakenOff, Person = shift.Person, From = Instant.Max(shift.From, at), To = until ?? shift.To, By = by, At = now });
        if (shift.From >= at) db.Remove(shift);
        else shift.To = at;
    }

    private static Instant? Read(string? typed, DateTimeZone zone) =>
        typed is not null && Typed.Parse(typed) is { Success: true } read ? read.Value.InZoneLeniently(zone).ToInstant() : null;
}
