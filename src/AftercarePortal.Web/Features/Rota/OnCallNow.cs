using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Who is on call at an instant, and where each of them is paged.</summary>
/// <param name="OnCall">In order, and everyone.</param>
/// <param name="Numbers">E.164 by staff id; of somebody with several, the one of the shift that holds or ended last.</param>
internal sealed record OnCallNow(OnCall OnCall, IReadOnlyDictionary<string, string> Numbers)
{
    /// <summary>Ids of those who can be paged at this number now, in the order they are paged: whoever had it on an old shift may not act with it any more.</summary>
    public IReadOnlyList<string> PeopleAt(string number) => [.. OnCall.InOrder.Concat(OnCall.Everyone).Distinct().Where(person => Numbers.TryGetValue(person, out var theirs) && theirs == number)];
}

internal static class OnCallReading
{
    private static readonly Duration Lately = Duration.FromDays(31);

    extension(PortalDb db)
    {
        /// <summary>Staff who can be paged: not those who are let in no more.</summary>
        public async Task<IReadOnlyList<StaffRow>> StaffToPage(CancellationToken stop) =>
            [.. (await db.StaffOfClinic.AsNoTracking().OrderBy(s => s.FullName).ToListAsync(stop)).Where(s => !s.IsLetGo)];

        /// <summary>Shifts of those who can be paged: whoever was let go holds none any more, and leaves a gap that is warned of.</summary>
        /// <param name="since">Those that end later.</param>
        public async Task<List<ShiftRow>> ShiftsThatCount(Instant since, CancellationToken stop)
        {
            var gone = (await db.StaffOfClinic.AsNoTracking().ToListAsync(stop)).Where(s => s.IsLetGo).Select(s => s.Id).ToHashSet(StringComparer.Ordinal);
            return [.. (await db.Shifts.AsNoTracking().Where(s => s.To > since).ToListAsync(stop)).Where(s => !gone.Contains(s.Person))];
        }

        /// <summary>Reads the rota of the clinic. Everyone: staff, and whoever has or lately had a shift; when that is nobody, whoever ever had one.</summary>
        public async Task<OnCallNow> OnCallAt(Instant now, CancellationToken stop)
        {
            var shifts = await db.ShiftsThatCount(now - Lately, stop);
            var staff = await db.StaffToPage(stop);
            if (shifts.Count == 0 && staff.Count == 0) shifts = await db.ShiftsThatCount(Instant.MinValue, stop);

            var numbers = new Dictionary<string, string>(StringComparer.Ordinal);
            foreach (var person in staff) numbers.TryAdd(person.Id, person.PageNumber);
            // An ended shift says nothing of where somebody of staff is paged now: the number may have been changed since.
            var known = staff.Select(s => s.Id).ToHashSet(StringComparer.Ordinal);
            foreach (var shift in shifts.Where(s => s.To > now || !known.Contains(s.Person)).OrderBy(s => s.From <= now && now < s.To).ThenBy(s => s.From <= now).ThenBy(s => s.From))      // the shift that holds has the last word
                numbers[shift.Person] = shift.Number;
            var doubtful = (await db.ContactStates(numbers, now, stop)).Where(c => c.IsDoubtful).Select(c => c.Person);
            return new(
                new Clinical.Escalations.Rota([.. shifts.Select(s => s.AsShift())], [.. staff.Select(s => s.Id)]).OnCallAt(now) with { Doubtful = [.. doubtful] },
                numbers);
        }
    }
}
