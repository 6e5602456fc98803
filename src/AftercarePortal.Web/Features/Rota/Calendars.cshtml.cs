using AftercarePortal.Web.Access;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Secret links for calendar programs: made, shown once, revoked by who made them or whoever leads the practice.</summary>
internal sealed class CalendarsModel(PortalDb db, ClinicClock clock, IOptions<CarrierOptions> options, TimeProvider time) : PageModel
{
    public sealed record Feed(Guid Id, string What, string By, string When, string Until, bool CanRevoke);

    public string? NewLink { get; private set; }
    public IReadOnlyList<Feed> Feeds { get; private set; } = [];

    public Task OnGetAsync(CancellationToken stop) => Load(stop);

    public Task OnPostMineAsync(CancellationToken stop) => Make(User.StaffId, stop);

    public Task OnPostClinicAsync(CancellationToken stop) => Make(null, stop);

    public async Task<IActionResult> OnPostRevokeAsync(Guid id, CancellationToken stop)
    {
        var (now, me, leads) = (time.GetCurrentInstant(), User.StaffId, User.IsInRole(AccessGate.LeadRole));
        var revoked = await db.CalendarFeeds.Where(f => f.Id == id && f.RevokedAt == null && (leads || f.MadeBy == me)).ExecuteUpdateAsync(set => set.SetProperty(f => f.RevokedAt, now), stop);
        return revoked == 0 ? NotFound() : RedirectToPage();
    }

    private async Task Make(string? person, CancellationToken stop)
    {
        var secret = PatientLink.NewSecret();
        db.Add(new CalendarFeedRow { Person = person, SecretHash = PatientLink.HashOf(secret), MadeBy = User.StaffId, MadeAt = time.GetCurrentInstant() });
        await db.SaveChangesAsync(stop);
        NewLink = new Uri(new Uri(options.Value.PublicUrl), $"/Rota/Feed/{secret}.ics").ToString();
        await Load(stop);
    }

    private async Task Load(CancellationToken stop)
    {
        var names = await db.NamesOfStaff(stop);
        var leads = User.IsInRole(AccessGate.LeadRole);
        var feeds = new List<Feed>();
        foreach (var row in await db.WorkingFeeds(time.GetCurrentInstant()).AsNoTracking().OrderBy(f => f.MadeAt).ToListAsync(stop))
            feeds.Add(new(row.Id, row.Person is null ? "The whole rota" : $"Shifts of {names.Of(row.Person)}", names.Of(row.MadeBy), await clock.Say(row.MadeAt), await clock.Say(row.MadeAt + CalendarFeedTable.Lasts), leads || row.MadeBy == User.StaffId));
        Feeds = feeds;
    }
}
