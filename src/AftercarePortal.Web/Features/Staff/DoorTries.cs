using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Counts tries at the staff door: five, then ten minutes shut.</summary>
/// <remarks>
/// A try is taken before it is judged, by one statement of the database, so that a hundred guesses sent at once are no more than five.
/// Known browsers are counted apart from strangers: whoever knows only a name cannot lock the on-call clinician out.
/// Source of the split: OWASP, "Slow Down Online Guessing Attacks with Device Cookies"; the numbers are common practice, no source.
/// </remarks>
internal sealed class DoorTries(PortalDb db, TimeProvider time)
{
    private const int Allowed = 5;
    private static readonly Duration Shut = Duration.FromMinutes(10);

    /// <summary>Takes one try. False: the door is shut, nothing may be judged.</summary>
    public async Task<bool> Take(string person, bool known, CancellationToken stop = default)
    {
        var now = time.GetCurrentInstant();
        var until = now + Shut;
        var who = db.Staff.Where(s => s.Id == person);
        return known
            ? await who.Where(s => s.KnownShutUntil == null || s.KnownShutUntil <= now).ExecuteUpdateAsync(set => set
                .SetProperty(s => s.KnownShutUntil, s => s.KnownTries + 1 >= Allowed ? until : null)
                .SetProperty(s => s.KnownTries, s => s.KnownTries + 1 >= Allowed ? 0 : s.KnownTries + 1), stop) == 1
            : await who.Where(s => s.ShutUntil == null || s.ShutUntil <= now).ExecuteUpdateAsync(set => set
                .SetProperty(s => s.ShutUntil, s => s.Tries + 1 >= Allowed ? until : null)
                .SetProperty(s => s.Tries, s => s.Tries + 1 >= Allowed ? 0 : s.Tries + 1), stop) == 1;
    }

    /// <summary>Gives a try back that was right; the count of the wrong ones stays until the whole sign-in.</summary>
    public Task GiveBack(string person, bool known, CancellationToken stop = default)
    {
        var who = db.Staff.Where(s => s.Id == person);
        return known
            ? who.ExecuteUpdateAsync(set => set.SetProperty(s => s.KnownTries, s => s.KnownShutUntil != null ? Allowed - 1 : s.KnownTries - 1).SetProperty(s => s.KnownShutUntil, (Instant?)null), stop)
            : who.ExecuteUpdateAsync(set => set.SetProperty(s => s.Tries, s => s.ShutUntil != null ? Allowed - 1 : s.Tries - 1).SetProperty(s => s.ShutUntil, (Instant?)null), stop);
    }

    /// <summary>Forgets the tries after a whole sign-in.</summary>
    public Task Forget(string person, bool known, CancellationToken stop = default)
    {
        var who = db.Staff.Where(s => s.Id == person);
        return known
            ? who.ExecuteUpdateAsync(set => set.SetProperty(s => s.KnownTries, 0).SetProperty(s => s.KnownShutUntil, (Instant?)null), stop)
            : who.ExecuteUpdateAsync(set => set.SetProperty(s => s.Tries, 0).SetProperty(s => s.ShutUntil, (Instant?)null), stop);
    }
}
