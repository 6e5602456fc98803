using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>Says instants as the clock on the clinic's wall shows them; pages inject it.</summary>
internal sealed class ClinicClock(PortalDb db)
{
    private static readonly ZonedDateTimePattern Kept = ZonedDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm:ss o<+HH:mm>", null);

    private DateTimeZone? _zone;

    /// <summary>For example <c>25 November 2026, 23:40</c>.</summary>
    public async Task<string> Say(Instant at) => Plain.Time(at.InZone(await Zone()));

    /// <summary>The same for many.</summary>
    public async Task<Func<Instant, string>> ForPages()
    {
        var zone = await Zone();
        return at => Plain.Time(at.InZone(zone));
    }

    /// <summary>The date on the clinic's wall.</summary>
    public async Task<LocalDate> DayOf(Instant at) => at.InZone(await Zone()).Date;

    /// <summary>For documents that are kept, in any language, with its distance from UTC: for example <c>2026-11-25 23:40:12 -05:00</c>.</summary>
    public async Task<Func<Instant, string>> ForDocuments()
    {
        var zone = await Zone();
        return at => Kept.Format(at.InZone(zone));
    }

    private async Task<DateTimeZone> Zone() => _zone ??= DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync()];
}
