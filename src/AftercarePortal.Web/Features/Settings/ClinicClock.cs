using System.Globalization;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>Says instants as the clock on the clinic's wall shows them; pages inject it.</summary>
internal sealed class ClinicClock(PortalDb db)
{
    private DateTimeZone? _zone;

    /// <summary>For example <c>25 November 2026, 23:40</c>.</summary>
    public async Task<string> Say(Instant at)
    {
        _zone ??= DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync()];
        return at.InZone(_zone).ToString("d MMMM uuuu, HH:mm", CultureInfo.InvariantCulture);
    }
}
