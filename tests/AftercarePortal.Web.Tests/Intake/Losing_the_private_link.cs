using System.Net;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.Intake;

public sealed class Losing_the_private_link : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private Intake_of person = null!;
    private Guid clinic;
    private string lost = "";

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open("--Intake:MostLostOfANumber=100", "--Intake:MostLost=20");
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        person = new(portal, clinic);
        await person.Result();
        lost = $"/Intake/at/{await person.InClinic(db => db.Clinics.Where(c => c.Id == clinic).Select(c => c.Slug).SingleAsync())}/lost";
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private Task<List<OutgoingRow>> Links() => person.InClinic(db => db.Outgoing.AsNoTracking().Where(o => o.Key.StartsWith("link:")).ToListAsync());

    private string Opened(OutgoingRow text) => portal.Parts.GetRequiredService<SealedWords>().Open(text.Text);

    private Task<string> Ask(params (string, string)[] typed) => person.Post(lost, [.. typed, ("day", "28"), ("month", "2"), ("year", "1988")]);

    private async Task Morning()
    {
        portal.Clock.Advance(TimeSpan.FromHours(6));
        await person.RunDueJobs();
    }

    [Fact]
    public async Task A_new_link_goes_to_the_number_given_alone_the_old_one_ends_and_only_a_hash_is_kept()
    {
        await person.Send();
        Assert.Contains("the clinic may text it, a new link comes to it", await Ask(("number", "212 555 0177"), ("lang", "en")));
        // It is night: the old link opens until the text may go.
        await person.RunDueJobs();
        Assert.Empty(await Links());
        await person.Show(person.Link + "/result");
        Assert.Equal(HttpStatusCode.OK, person.Status);
        await Morning();
        var text = Assert.Single(await Links());
        Assert.Equal("+12125550177", text.To);
        var link = Opened(text).Split(' ').Single(w => w.Contains("/Intake/", StringComparison.Ordinal));
        var secret = link[(link.LastIndexOf('/') + 1)..];
        Assert.DoesNotContain(secret, text.Text);
        Assert.Equal(AftercarePortal.Web.Access.PatientLink.HashOf(secret), await person.InClinic(db => db.Intakes.Select(i => i.LinkHash).SingleAsync()));
        await person.Show(person.Link + "/result");
        Assert.Equal(HttpStatusCode.NotFound, person.Status);
        await person.Show($"/Intake/{secret}/result");
        Assert.Equal(HttpStatusCode.OK, person.Status);
        // The job run again makes no second link.
        await person.InClinic(async db => { await new SendLink(db, new AftercarePortal.Web.Features.Review.ReachSender(db), portal.Parts.GetRequiredService<AftercarePortal.Web.ContentFiles.ContentLibrary>(), portal.Parts.GetRequiredService<SealedWords>(), portal.Parts.GetRequiredService<Microsoft.Extensions.Options.IOptions<AftercarePortal.Web.Carrier.CarrierOptions>>(), portal.Clock).Run(text.Key["link:".Length..], default); return 0; });
        Assert.Single(await Links());
    }

    [Fact]
    public async Task Whether_there_is_an_intake_or_none_the_answer_is_the_same_to_the_letter()
    {
        await person.Send();
        var known = await Ask(("number", "(212) 555-0177"));
        var unknown = await Ask(("number", "(212) 555-0178"));
        Assert.Equal(known, unknown);
        await Morning();
        Assert.Single(await Links());
    }

    [Fact]
    public async Task Whoever_got_a_number_mistyped_as_theirs_gets_no_link_without_the_day_the_other_was_born()
    {
        await person.Send();
        var known = await Ask(("number", "(212) 555-0177"));
        portal.Clock.Advance(TimeSpan.FromHours(1));
        Assert.Equal(known, await person.Post(lost, ("number", "(212) 555-0177"), ("day", "27"), ("month", "2"), ("year", "1988")));
        await Morning();
        Assert.Single(await Links());
        foreach (var (day, month, year) in new[] { ("", "", ""), ("31", "2", "1988"), ("28", "2", "88888") })
        {
            var page = await person.Post(lost, ("number", "(212) 555-0177"), ("day", day), ("month", month), ("year", year));
            Assert.Contains("id=\"born-problem\"", page);
            Assert.Contains("(212) 555-0177", page);
        }
    }

    [Fact]
    public async Task Days_of_birth_are_not_guessed_through()
    {
        await using var other = await Portal_with_staff.Open("--Intake:MostLost=1000");
        var (at, _) = await other.Clinic("Wrenfold Clinic", 0);
        var guesser = new Intake_of(other, at);
        var there = $"/Intake/at/{await guesser.InClinic(db => db.Clinics.Select(c => c.Slug).SingleAsync())}/lost";
        for (var i = 1; i <= 8; i++) await guesser.Post(there, ("number", "(212) 555-0177"), ("day", $"{i}"), ("month", "2"), ("year", "1988"));
        Assert.Equal(HttpStatusCode.OK, guesser.Status);
        await guesser.Post(there, ("number", "(212) 555-0177"), ("day", "28"), ("month", "2"), ("year", "1988"));
        Assert.Equal(HttpStatusCode.TooManyRequests, guesser.Status);
        await guesser.Post(there, ("number", "(212) 555-0178"), ("day", "28"), ("month", "2"), ("year", "1988"));
        Assert.Equal(HttpStatusCode.OK, guesser.Status);
    }

    [Fact]
    public async Task Who_wanted_no_texts_gets_none_and_what_was_never_sent_is_not_found()
    {
        await Ask(("number", "(212) 555-0177"));
        await person.Send(mayText: false);
        await Ask(("number", "(212) 555-0177"));
        await Morning();
        Assert.Empty(await Links());
    }

    private Task Stop(string number = "+12125550177") => person.InClinic(db =>
    {
        db.Add(new OptOutRow { ClinicId = clinic, Number = number, Stopped = true, MessageId = Guid.NewGuid(), At = NodaTime.Instant.FromDateTimeOffset(portal.Clock.GetUtcNow()) });
        return db.SaveChangesAsync();
    });

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task After_a_STOP_no_link_is_made_the_one_before_goes_on_and_the_page_says_the_same(bool before)
    {
        await person.Send();
        if (before) await Stop();
        Assert.Contains("the clinic may text it, a new link comes to it", await Ask(("number", "212 555 0177")));
        if (!before) await Stop();
        await Morning();
        Assert.Empty(await Links());
        Assert.Equal(0, await person.InClinic(db => db.NewLinks.CountAsync()));
        await person.Show(person.Link + "/result");
        Assert.Equal(HttpStatusCode.OK, person.Status);
    }

    [Fact]
    public async Task Asked_every_hour_of_a_night_one_link_goes_in_the_morning_and_three_a_day_are_counted_when_they_go()
    {
        await person.Send();
        portal.Clock.Advance(TimeSpan.FromHours(17));                                  // ten in the evening
        for (var hour = 0; hour < 9; hour++)
        {
            await Ask(("number", "212 555 0177"));
            await person.RunDueJobs();
            portal.Clock.Advance(TimeSpan.FromHours(1));
        }

        Assert.Empty(await Links());
        await Morning();
        Assert.Single(await Links());
        // Jobs that wait although the day has had its links do nothing more.
        var id = await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync());
        await person.InClinic(db =>
        {
            for (var i = 0; i < 5; i++) db.Enqueue(SendLink.JobKind, $"{id}:{i}", NodaTime.Instant.FromDateTimeOffset(portal.Clock.GetUtcNow()));
            return db.SaveChangesAsync();
        });
        await person.RunDueJobs();
        Assert.Equal(LostLink.MostADay, (await Links()).Count);
        Assert.Equal(LostLink.MostADay, await person.InClinic(db => db.NewLinks.CountAsync()));
    }

    [Fact]
    public async Task The_number_the_clinic_has_put_right_gets_the_link_and_the_one_before_does_not()
    {
        await person.Send();
        var desk = await portal.SignedIn(clinic, "mara");
        await Portal_with_staff.Send(desk, $"/Review/{await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync())}", ("Choice", "Accepted"), ("Until", ""), ("Reason", "Seen"), ("Words", "Please come."));
        await person.InClinic(db => db.Patients.Where(p => p.Name == "Jonas Lind").ExecuteUpdateAsync(s => s.SetProperty(p => p.Number, "+12125550188")));
        var before = await Ask(("number", "212 555 0177"));
        Assert.Equal(before, await Ask(("number", "212 555 0188")));
        await Morning();
        Assert.Equal("+12125550188", Assert.Single(await Links()).To);
    }

    [Fact]
    public async Task Asked_again_and_again_one_an_hour_and_three_a_day_are_texted()
    {
        await person.Send();
        portal.Clock.Advance(TimeSpan.FromHours(6));
        for (var hour = 0; hour < 6; hour++)
        {
            await Ask(("number", "(212) 555-0177"));
            await person.RunDueJobs();
            await Ask(("number", "(212) 555-0177"));
            await person.RunDueJobs();
            Assert.Equal(Math.Min(hour + 1, LostLink.MostADay), (await Links()).Count);
            portal.Clock.Advance(TimeSpan.FromHours(1));
        }
    }

    [Fact]
    public async Task A_number_that_is_none_stays_as_typed_and_many_requests_wait()
    {
        var refused = await Ask(("number", "12 <b>"), ("lang", "es"));
        Assert.Contains("12 <b>", refused);
        Assert.Contains("aria-invalid=\"true\"", refused);
        for (var i = 0; i < 25 && person.Status is not HttpStatusCode.TooManyRequests; i++) refused = await Ask(("number", "212 555 0199"));
        Assert.Equal(HttpStatusCode.TooManyRequests, person.Status);
        Assert.Contains("212 555 0199", refused);
    }

    [Fact]
    public async Task Staff_make_a_new_one_that_is_shown_once()
    {
        await person.Send();
        var desk = await portal.SignedIn(clinic, "mara");
        var page = $"/Review/{await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync())}";
        var shown = await (await Portal_with_staff.Post(desk, $"{page}?handler=Link", await desk.GetStringAsync(page))).Content.ReadAsStringAsync();
        var link = System.Text.RegularExpressions.Regex.Match(shown, "/Intake/([A-Za-z0-9_-]{32})").Groups[1].Value;
        await person.Show($"/Intake/{link}/result");
        Assert.Equal(HttpStatusCode.OK, person.Status);
        await person.Show(person.Link + "/result");
        Assert.Equal(HttpStatusCode.NotFound, person.Status);
        Assert.DoesNotContain(link, await desk.GetStringAsync(page));
    }

    [Fact]
    public async Task The_intake_shows_staff_who_made_a_new_one_and_when_and_that_one_was_texted()
    {
        await person.Send();
        await Ask(("number", "212 555 0177"));
        await Morning();
        Assert.Single(await Links());
        portal.Clock.Advance(TimeSpan.FromHours(1));
        var page = $"/Review/{await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync())}";
        foreach (var name in new[] { "mara", "tomas" })
        {
            var desk = await portal.SignedIn(clinic, name);
            await Portal_with_staff.Post(desk, $"{page}?handler=Link", await desk.GetStringAsync(page));
            portal.Clock.Advance(TimeSpan.FromHours(1));
        }

        var shown = await (await portal.SignedIn(clinic, "iris")).GetStringAsync(page);
        var made = System.Text.RegularExpressions.Regex.Matches(shown, "<li>(Made by [^<,]+|Texted as the person asked), ([^<]+)</li>").Select(m => (m.Groups[1].Value, m.Groups[2].Value)).ToList();
        Assert.Equal(["Made by Dr tomas", "Made by Dr mara", "Texted as the person asked"], made.Select(m => m.Item1));
        Assert.Equal(3, made.Select(m => m.Item2).Distinct().Count());
        Assert.All(await person.InClinic(db => db.NewLinks.AsNoTracking().ToListAsync()), row => Assert.DoesNotContain("/Intake/", System.Text.Json.JsonSerializer.Serialize(row)));
    }
}
