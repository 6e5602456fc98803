using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using Ical.Net;
using Ical.Net.CalendarComponents;
using Ical.Net.DataTypes;
using Ical.Net.Serialization;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>A consultation visit as a calendar file (RFC 5545), opened by the person's private link. It says where and when, and nothing of why.</summary>
internal static class CalendarFile
{
    /// <summary>Where the person's calendar program finds it.</summary>
    public const string Route = "/Intake/{link}/visit.ics";

    public static void MapVisitCalendar(this IEndpointRouteBuilder app) => app.MapGet(Route, Show);

    private static async Task<IResult> Show(string link, OpenIntake open, PortalDb db, CancellationToken stop)
    {
        if (await open.Run(link, stop) is not { } opened) return Results.Redirect(OpenIntake.AddressOf(link));      // which says that it has ended, and whom to ring
        if (await db.LatestVisitOf(opened.Intake.Id, stop) is not { } visit) return Results.NotFound();
        var text = Of(visit, opened.Words.Say("visit-title", opened.Clinic.Name), opened.Words.Say("questions", opened.Clinic.ClinicLine));
        return Results.File(System.Text.Encoding.UTF8.GetBytes(text), "text/calendar; charset=utf-8", "visit.ics");
    }

    /// <summary>The file's text. Times stand in UTC, so that no program needs the clinic's zone; the same visit keeps its id, and its sequence rises with every change.</summary>
    internal static string Of(VisitRow visit, string title, string words)
    {
        static CalDateTime Utc(Instant at) => new(at.ToDateTimeUtc(), "UTC");
        var entry = new CalendarEvent
        {
            Uid = $"{visit.IntakeId:N}@aftercareportal.example", Sequence = visit.Number - 1, DtStamp = Utc(visit.WrittenAt),
            Start = Utc(visit.StartsAt), End = Utc(visit.StartsAt + NodaTime.Duration.FromMinutes(visit.Minutes)), Summary = title, Description = words,
            Location = visit.Place.Length > 0 ? visit.Place : null, Status = visit.Cancelled ? EventStatus.Cancelled : EventStatus.Confirmed,
        };
        var calendar = new Calendar { Method = visit.Cancelled ? CalendarMethods.Cancel : CalendarMethods.Publish, ProductId = "-//AftercarePortal//Visit//EN" };
        calendar.Events.Add(entry);
        return new CalendarSerializer().SerializeToString(calendar)!;
    }
}
