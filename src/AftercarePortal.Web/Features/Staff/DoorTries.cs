using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Counts tries at the staff door: five, then ten minutes shut.</summary>
/// <remarks>
/// A try is taken before it is judged, by one statement of the database, so that a hundred guesses sent at once are no more than five.
/// Known browsers are counted apart from strangers: whoever knows only a name cannot lock the on-call clinician out.
/// A session that shows password and code again is counted for itself: strangers cannot keep its screen locked, and whoever holds it locks no other browser out.
/// Source of the split: OWASP, "Slow Down Online Guessing Attacks with Device Cookies"; the numbers are common practice, no source.
/// </remarks>
internal sealed class DoorTries(PortalDb db, TimeProvider time)
{
    private const int Allowed = 5;
    private static readonly Duration Shut = Duration.FromMinutes(10);

    /// <summary>Whose tries are counted together.</summary>
    internal abstract record Of
    {
        private Of() { }
        /// <summary>Browsers nobody knows, at one person's door.</summary>
        public sealed record Strangers(string Person) : Of;
        /// <summary>Browsers this person has signed in with.</summary>
        public sealed record Known(string Person) : Of;
        /// <summary>One session, where it shows password and code again.</summary>
        public sealed record Session(Guid Id) : Of;
    }

    /// <summary>Takes one try. False: the door is shut, nothing may be judged.</summary>
    public async Task<bool> Take(Of of, CancellationToken stop = default)
    {
        var now = time.GetCurrentInstant();
        var until = now + Shut;
        return of switch
        {
            Of.Strangers(var person) => await db.Staff.Where(s => s.Id == person && (s.ShutUntil == null || s.ShutUntil <= now)).ExecuteUpdateAsync(set => set
                .SetProperty(s => s.ShutUntil, s => s.Tries + 1 >= Allowed ? until : null)
                .SetProperty(s => s.Tries, s => s.Tries + 1 >= Allowed ? 0 : s.Tries + 1), stop),
            Of.Known(var person) => await db.Staff.Where(s => s.Id == person && (s.KnownShutUntil == null || s.KnownShutUntil <= now)).ExecuteUpdateAsync(set => set
                .SetProperty(s => s.KnownShutUntil, s => s.KnownTries + 1 >= Allowed ? until : null)
                .SetProperty(s => s.KnownTries, s => s.KnownTries + 1 >= Allowed ? 0 : s.KnownTries + 1), stop),
            Of.Session(var id) => await db.StaffSessions.Where(s => s.Id == id && (s.ShutUntil == null || s.ShutUntil <= now)).ExecuteUpdateAsync(set => set
                .SetProperty(s => s.ShutUntil, s => s.Tries + 1 >= Allowed ? until : null)
                .SetProperty(s => s.Tries, s => s.Tries + 1 >= Allowed ? 0 : s.Tries + 1), stop),
            _ => throw new System.Diagnostics.UnreachableException(),
        } == 1;
    }

    /// <summary>Writes as much as a try that is taken and changes nothing: the time an answer takes tells neither whether there is such a name nor whether its door is shut.</summary>
    public Task TakeNone(CancellationToken stop = default)
    {
        var all = db.Staff;
        return all.Where(s => s.Id == all.Min(any => any.Id)).ExecuteUpdateAsync(set => set.SetProperty(s => s.Tries, s => s.Tries), stop);
    }

    /// <summary>Gives a try back that was right; the count of the wrong ones stays until the whole sign-in.</summary>
    public Task GiveBack(Of of, CancellationToken stop = default) => of switch
    {
        Of.Strangers(var person) => db.Staff.Where(s => s.Id == person).ExecuteUpdateAsync(set => set
            .SetProperty(s => s.Tries, s => s.ShutUntil != null ? Allowed - 1 : s.Tries - 1).SetProperty(s => s.ShutUntil, (Instant?)null), stop),
        Of.Known(var person) => db.Staff.Where(s => s.Id == person).ExecuteUpdateAsync(set => set
            .SetProperty(s => s.KnownTries, s => s.KnownShutUntil != null ? Allowed - 1 : s.KnownTries - 1).SetProperty(s => s.KnownShutUntil, (Instant?)null), stop),
        Of.Session(var id) => db.StaffSessions.Where(s => s.Id == id).ExecuteUpdateAsync(set => set
            .SetProperty(s => s.Tries, s => s.ShutUntil != null ? Allowed - 1 : s.Tries - 1).SetProperty(s => s.ShutUntil, (Instant?)null), stop),
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    /// <summary>Forgets the tries after a whole sign-in.</summary>
    public Task Forget(Of of, CancellationToken stop = default) => of switch
    {
        Of.Strangers(var person) => db.Staff.Where(s => s.Id == person).ExecuteUpdateAsync(set => set.SetProperty(s => s.Tries, 0).SetProperty(s => s.ShutUntil, (Instant?)null), stop),
        Of.Known(var person) => db.Staff.Where(s => s.Id == person).ExecuteUpdateAsync(set => set.SetProperty(s => s.KnownTries, 0).SetProperty(s => s.KnownShutUntil, (Instant?)null), stop),
        Of.Session(var id) => db.StaffSessions.Where(s => s.Id == id).ExecuteUpdateAsync(set => set.SetProperty(s => s.Tries, 0).SetProperty(s => s.ShutUntil, (Instant?)null), stop),
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}
