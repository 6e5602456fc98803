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

    /// <param name="Clinic">The clinic's id.</param>
    /// <param name="PageNumber">Its number of pages, E.164: who texts that one is staff.</param>
    internal sealed record Owner(Guid Clinic, string PageNumber);

    /// <summary>Of a number that is no clinic's, where there are several: what came to it waits until one has that number.</summary>
    public static Owner Nobody { get; } = new(Guid.Empty, "");

    /// <summary>The clinic that patients or staff text at this number; for a number nobody told us of the only clinic there is, so that its text is still kept and read; of several <see cref="Nobody"/>, for what a patient wrote is no other clinic's to read. Null: no clinic is set up.</summary>
    public async Task<Owner?> OwnerOf(string number, PortalDb db)
    {
        var now = time.GetCurrentInstant();
        if (_found.TryGetValue(number, out var known) && now - known.Asked is { } since && since >= Duration.Zero && since < Holds) return known.Owner;
        var clinics = db.Set<ClinicRow>().AsNoTracking();
        var owner = await clinics.Where(c => c.PatientNumber == number || c.PageNumber == number).Select(c => new Owner(c.Id, c.PageNumber)).FirstOrDefaultAsync();
        if (owner is null) return await clinics.OrderBy(c => c.Id).Select(c => new Owner(c.Id, c.PageNumber)).Take(2).ToListAsync() is { Count: > 0 } there ? there.Count == 1 ? there[0] : Nobody : null;
        _found[number] = (owner, now);
        return owner;
    }
}
