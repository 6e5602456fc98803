using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Staff;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Warns that pages may not reach somebody. Puts it into the current unit of work.</summary>
internal sealed class WarnOfContact(PortalDb db, PageStaff page)
{
    /// <summary>The next on call and whoever leads the practice; without them everyone else.</summary>
    /// <param name="about">Once for each, at most 80 characters.</param>
    /// <param name="person">Staff id of whom it is about: not warned of oneself. Null: nobody known.</param>
    public async Task Run(string about, string? person, string text, Instant now, CancellationToken stop)
    {
        var (onCall, _) = await db.OnCallAt(now, stop);
        var leads = (await db.StaffToPage(stop)).Where(s => s.Role is StaffRole.PracticeLead).Select(s => s.Id);
        var people = onCall.InOrder.Where(p => p != person).Take(1).Concat(leads).Distinct().Where(p => p != person).ToList();
        await page.To(about, people.Count > 0 ? people : [.. onCall.Everyone.Where(p => p != person)], voice: false, text, "/Rota", now, stop);
    }
}
