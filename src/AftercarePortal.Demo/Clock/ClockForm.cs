using System.Globalization;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Demo.Clock;

/// <summary>The part of the handsets' page that shows the demo's time and moves it forward.</summary>
internal sealed class ClockForm(DemoClock clock, WallClock wall, PassingDays days)
{
    private const int LastDay = 60;                                             // the rota is seeded for longer
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);

    public void Map(WebApplication phone) => phone.MapPost("/clock", async (HttpRequest request) =>
    {
        var form = await request.ReadFormAsync();
        if (Wanted(form) is not { } to) return Results.BadRequest($"Give a day from 0 to {LastDay} and a time such as 09:00.");
        if (to < clock.Now) return Results.BadRequest("That is in the past. The clock only goes forward.");
        await days.PassTo(to, Patience);
        return Results.Redirect("/");
    });

    public string Html()
    {
        var now = clock.Now.InZone(wall.Zone);
        return $"""
            <section><h2>Clock</h2><p>It is {now.ToString("dddd, d MMMM uuuu, HH:mm", CultureInfo.InvariantCulture)} at the clinic, day {wall.DayOf(clock.Now)} after Mira's treatment. The clock only goes forward; what is due on the way happens on its day.</p>
            <form method="post" action="/clock"><label for="clock-day">Day</label> <input id="clock-day" name="day" type="number" min="0" max="{LastDay}" required value="{wall.DayOf(clock.Now) + 1}">
            <label for="clock-time">Time</label> <input id="clock-time" name="time" type="time" required value="09:00"> <button>Move the clock there</button></form>
            <form method="post" action="/clock"><button name="hours" value="1">One hour on</button></form></section>
            """;
    }

    private Instant? Wanted(IFormCollection form)
    {
        if (form["hours"] == "1") return clock.Now + Duration.FromHours(1);
        return int.TryParse(form["day"], NumberStyles.None, CultureInfo.InvariantCulture, out var day) && day <= LastDay
            && LocalTimePattern.CreateWithInvariantCulture("HH:mm").Parse(form["time"].ToString()) is { Success: true, Value: var time }
            ? wall.At(day, time)
            : null;
    }
}
