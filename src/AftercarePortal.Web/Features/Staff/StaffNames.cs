using System.Security.Claims;
using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Names of a clinic's staff by id, also of those who are let in no more. Rows keep ids: two people may have one name.</summary>
internal sealed class StaffNames(IReadOnlyDictionary<string, string> names)
{
    /// <summary>The name; of somebody unknown the id itself.</summary>
    public string Of(string id) => names.GetValueOrDefault(id, id);
}

internal static class StaffNameReading
{
    extension(PortalDb db)
    {
        /// <summary>Of this clinic, read at once.</summary>
        public async Task<StaffNames> NamesOfStaff(CancellationToken stop) =>
            new(await db.StaffOfClinic.AsNoTracking().ToDictionaryAsync(s => s.Id, s => s.FullName, stop));

        /// <summary>Names of those who are let in, in order: any of them may sign a treatment.</summary>
        public async Task<IReadOnlyList<string>> NamesWhoMayTreat(CancellationToken stop) =>
            [.. (await db.StaffOfClinic.AsNoTracking().Select(s => new { s.FullName, s.LockoutEnd }).ToListAsync(stop)).Where(s => s.LockoutEnd != DateTimeOffset.MaxValue).Select(s => s.FullName).Distinct().Order(StringComparer.Ordinal)];
    }

    extension(ClaimsPrincipal user)
    {
        /// <summary>Id of the member of staff who is signed in.</summary>
        public string StaffId => user.FindFirstValue(ClaimTypes.NameIdentifier)!;

        /// <summary>Id of this one session of theirs.</summary>
        public Guid Session => Guid.Parse(user.FindFirstValue(AccessGate.SessionClaim)!);
    }
}
