using System.Collections.Concurrent;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Which clinic a number belongs to. Asked with every text and changed by <c>clinic add</c> only, so what was found holds for a minute.</summary>
internal sealed class OurNumbers(TimeProvider time)
{
    private static readonly Duration Holds = Duration.FromMinutes(1);

    private readonly ConcurrentDictionary<string, (Owner Owner, Instant Asked)> _found = new();
    private readonly ConcurrentDictionary<string, (Owner? Owner, Instant Asked)> _former = new();

    /// <param name="Clinic">The clinic's id.</param>
    /// <param name="PageNumber">Its number of pages, E.164: who texts that one is staff.</param>
    internal sealed record Owner(Guid Clinic, string PageNumber);

    /// <summary>Of a number that is no clinic's, where there are several: what came to it waits until one has that number.</summary>
    public static Owner Nobody { get; } = new(Guid.Empty, "");

    /// <summary>The clinic that patients or staff text at this number; for a number that is no clinic's any more the one that last texted from it; for a number nobody told us of the only clinic there is, so that its text is still kept and read; of several <see cref="Nobody"/>, for what a patient wrote is no other clinic's to read. Null: no clinic is set up.</summary>
    public async Task<Owner?> OwnerOf(string number, PortalDb db)
    {
        var now = time.GetCurrentInstant();
        if (_found.TryGetValue(number, out var known) && IsFresh(known.Asked, now)) return known.Owner;
        var clinics = db.Set<ClinicRow>().AsNoTracking();
        var owner = await clinics.Where(c => c.PatientNumber == number || c.PageNumber == number).Select(c => new Owner(c.Id, c.PageNumber)).FirstOrDefaultAsync();
        if (owner is null && await FormerOf(number, now, db) is { } former) return former;
        if (owner is null) return await clinics.OrderBy(c => c.Id).Select(c => new Owner(c.Id, c.PageNumber)).Take(2).ToListAsync() is { Count: > 0 } there ? there.Count == 1 ? there[0] : Nobody : null;
        _found[number] = (owner, now);
        return owner;
    }

    // Patients go on writing to the number they know. Of pages it was when pages went out from it: who texts it is staff.
    private async Task<Owner?> FormerOf(string number, Instant now, PortalDb db)
    {
        if (_former.TryGetValue(number, out var known) && IsFresh(known.Asked, now)) return known.Owner;
        var last = await db.Outgoing.IgnoreQueryFilters().AsNoTracking().Where(o => o.From == number).OrderByDescending(o => o.MadeAt).Select(o => new { o.ClinicId, o.Kind }).FirstOrDefaultAsync();
        var clinic = last is null ? null : await db.Set<ClinicRow>().AsNoTracking().SingleOrDefaultAsync(c => c.Id == last.ClinicId);
        var owner = clinic is null ? null : new Owner(clinic.Id, last!.Kind is OutgoingKind.PageText or OutgoingKind.PageCall ? number : clinic.PageNumber);
        _former[number] = (owner, now);
        return owner;
    }

    private static bool IsFresh(Instant asked, Instant now) => now - asked is var since && since >= Duration.Zero && since < Holds;
}
