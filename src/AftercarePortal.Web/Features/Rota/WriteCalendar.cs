using AftercarePortal.Web.Features.Staff;
using Ical.Net;
using Ical.Net.CalendarComponents;
using Ical.Net.DataTypes;
using Ical.Net.Serialization;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Shifts as an iCalendar object (RFC 5545): who is on call when, and nothing of any patient.</summary>
/// <remarks>Times are UTC, so that no calendar has to know the clinic's zone and nights on which the clocks change are as long as they are.</remarks>
internal static class WriteCalendar
{
    public static string Of(IEnumerable<ShiftRow> shifts, string clinic, StaffNames names, bool withNames, Instant now)
    {
        var calendar = new Calendar { Method = "PUBLISH", ProductId = "-//AftercarePortal//Rota//EN" };
        foreach (var shift in shifts)
            calendar.Events.Add(new CalendarEvent
            {
                Uid = $"{shift.Id}@aftercareportal",
                Summary = withNames ? $"{names.Of(shift.Person)} on call, number {shift.Order} ({clinic})" : $"On call, number {shift.Order} ({clinic})",
                Start = Utc(shift.From), End = Utc(shift.To), DtStamp = Utc(now),
            });
        return new CalendarSerializer().SerializeToString(calendar)!;
    }

    private static CalDateTime Utc(Instant at) => new(at.ToDateTimeUtc(), "UTC");
}
