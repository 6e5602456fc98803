using AftercarePortal.Clinical.Triage;
using AftercarePortal.Testing;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime.Extensions;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

public sealed class Inbound_message : IAsyncLifetime
{
    private readonly Listening_portal _portal = new();

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Is_kept_raw_with_its_job_before_the_carrier_gets_its_200()
    {
        Assert.Equal(200, await _portal.Deliver("SM1", "my skin has gone white 😟"));

        var message = Assert.Single(await _portal.Read(db => db.Messages.ToListAsync()));
        Assert.Equal("my skin has gone white 😟", message.Text);
        Assert.Contains("MessageSid=SM1", message.RawForm);
        var job = Assert.Single(await _portal.Read(db => db.Jobs.ToListAsync()));
        Assert.Equal((MessageJobs.Read, message.Id.ToString()), (job.Kind, job.Subject));
    }

    [Fact]
    public async Task To_a_number_no_clinic_has_is_nobodys_where_there_are_several_and_read_as_soon_as_one_has_it()
    {
        const string Unknown = "+12125550148";
        Assert.Equal(200, await _portal.Deliver("SM0", "to the only clinic there is", to: Unknown));
        Assert.Single(await _portal.Read(db => db.Messages.ToListAsync()));
        var other = new ClinicRow
        {
            Name = "Another invented clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0143", PatientNumber = "+12125550146", PageNumber = "+12125550147", QuietFrom = new(21, 0), QuietTo = new(8, 0),
        };
        await _portal.Read(async db =>
        {
            db.Add(other);
            return await db.SaveChangesAsync();
        });

        Assert.Equal(200, await _portal.Deliver("SM1", "my skin has gone white", to: Unknown));
        Assert.Equal(200, await _portal.Deliver("SM1", "my skin has gone white", to: Unknown));
        Assert.Single(await _portal.Read(db => db.Messages.ToListAsync()));
        Assert.Equal(1, await _portal.Read(db => db.Messages.IgnoreQueryFilters().CountAsync(m => m.ClinicId == Guid.Empty && m.CarrierId == "SM1")));
        await _portal.Sweep();
        Assert.Equal(1, await _portal.Read(db => db.Messages.IgnoreQueryFilters().CountAsync(m => m.ClinicId == Guid.Empty)));

        await _portal.Read(db => db.Clinics.Where(c => c.Id == other.Id).ExecuteUpdateAsync(set => set.SetProperty(c => c.PatientNumber, Unknown)));
        await _portal.Sweep();
        await _portal.Sweep();
        var message = await _portal.Read(db => db.Messages.IgnoreQueryFilters().SingleAsync(m => m.CarrierId == "SM1"));
        Assert.Equal(other.Id, message.ClinicId);
        var job = Assert.Single(await _portal.Read(db => db.Jobs.Where(j => j.Subject == message.Id.ToString()).ToListAsync()));
        Assert.Equal((MessageJobs.Read, other.Id), (job.Kind, job.ClinicId));
    }

    [Fact]
    public async Task Signed_with_another_token_is_refused_and_leaves_nothing()
    {
        Assert.Equal(403, await _portal.Deliver("SM1", "hello", token: "somebody else's"));
        Assert.Empty(await _portal.Read(db => db.Messages.ToListAsync()));
        Assert.Empty(await _portal.Read(db => db.Jobs.ToListAsync()));
    }

    [Fact]
    public async Task With_a_body_hash_without_value_is_refused_and_breaks_nothing() =>
        Assert.Equal(403, await _portal.Deliver("SM1", "hello", query: "?bodySHA256"));

    [Fact]
    public async Task That_is_no_proper_form_is_refused_and_leaves_nothing()
    {
        var noBoundary = new ByteArrayContent([1, 2, 3]);
        noBoundary.Headers.ContentType = new("multipart/form-data");
        Assert.Equal(403, await _portal.Post(noBoundary));
        Assert.Equal(403, await _portal.Post(new StringContent("{}", null, "application/json")));
        Assert.Equal(403, await _portal.Post(new FormUrlEncodedContent(Enumerable.Range(0, 3000).Select(i => KeyValuePair.Create($"a{i}", "1")))));
        Assert.Empty(await _portal.Read(db => db.Messages.ToListAsync()));
    }

    [Fact]
    public async Task Whose_webhook_never_came_is_found_in_the_carriers_list_once()
    {
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "my skin has gone white");
        Assert.Equal((1, 0), (await _portal.Sweep(), await _portal.Sweep()));
        Assert.Equal("my skin has gone white", (await _portal.Read(db => db.Messages.SingleAsync())).Text);
        Assert.Single(await _portal.Read(db => db.Jobs.ToListAsync()));
    }

    [Theory]
    [InlineData("STOP", "START", false)]
    [InlineData("START", "STOP", true)]
    public async Task Found_in_the_carriers_list_is_kept_in_the_order_it_was_written_though_the_list_begins_with_the_newest(string first, string second, bool stopped)
    {
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, first);
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, second);
        Assert.Equal(2, await _portal.Sweep());
        Assert.Equal(stopped, await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
    }

    [Fact]
    public async Task That_says_STOP_is_in_force_before_anybody_read_it()
    {
        await _portal.Deliver("SM1", "Stop.");
        Assert.True(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
        await _portal.Deliver("SM1", "Stop.");
        await _portal.RunJobs();
        Assert.Single(await _portal.Read(db => db.OptOuts.ToListAsync()));
    }

    [Fact]
    public async Task The_carrier_took_for_a_STOP_or_START_by_the_clinics_own_word_is_one()
    {
        await _portal.Deliver("SM1", "alto", handled: "STOP");
        Assert.True(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
        await _portal.Deliver("SM2", "info", handled: "HELP");
        Assert.True(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
        await _portal.Deliver("SM3", "yes", handled: "START");
        Assert.False(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
    }

    [Fact]
    public async Task That_says_STOP_to_the_number_of_pages_from_no_number_of_staff_is_in_force_too()
    {
        await _portal.Deliver("SM1", "STOP", to: Listening_portal.Pages);
        await _portal.RunJobs();
        Assert.True(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
    }

    [Fact]
    public async Task Delivered_twice_is_kept_once()
    {
        Assert.Equal(200, await _portal.Deliver("SM1", "it hurts"));
        Assert.Equal(200, await _portal.Deliver("SM1", "it hurts"));
        Assert.Single(await _portal.Read(db => db.Messages.ToListAsync()));
        Assert.Single(await _portal.Read(db => db.Jobs.ToListAsync()));
    }

    [Fact]
    public async Task Delivered_by_eight_requests_at_once_is_kept_once()
    {
        var answers = await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => _portal.Deliver("SM1", "it hurts")));
        Assert.All(answers, status => Assert.Equal(200, status));
        Assert.Single(await _portal.Read(db => db.Messages.ToListAsync()));
    }

    [Theory]
    [InlineData(30, 1)]
    [InlineData(50, 0)]
    public async Task Written_in_an_outage_is_found_however_long_it_was_up_to_what_the_clinic_reckons_with(int daysAway, int found)
    {
        await _portal.Sweep();
        _portal.Time.Advance(TimeSpan.FromHours(1));
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "it hurts");
        _portal.Time.Advance(TimeSpan.FromDays(daysAway));
        Assert.Equal(found, await _portal.Sweep());
    }

    [Fact]
    public async Task Found_late_keeps_the_time_the_carrier_received_it_and_the_report_counts_from_then()
    {
        await _portal.Sweep();
        var written = _portal.Time.GetCurrentInstant() + Duration.FromHours(1);
        _portal.Time.Advance(TimeSpan.FromHours(1));
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "it hurts more and more");
        _portal.Time.Advance(TimeSpan.FromHours(3));
        await _portal.Sweep();
        await _portal.RunJobs();
        var (message, report) = (await _portal.Read(db => db.Messages.SingleAsync()), await _portal.Read(db => db.Escalations.SingleAsync()));
        Assert.Equal((written, written + Duration.FromHours(3)), (message.WrittenAt, message.ReceivedAt));
        Assert.Equal((written, written + Duration.FromHours(3)), (report.WrittenAt, report.OpenedAt));
    }

    [Fact]
    public async Task Found_days_late_is_read_together_with_what_was_written_an_hour_before_it()
    {
        await _portal.Sweep();
        await _portal.Deliver("SM1", "theres a pale patch on my chin");
        await _portal.RunJobs();
        _portal.Time.Advance(TimeSpan.FromHours(1));
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "and its cold");
        _portal.Time.Advance(TimeSpan.FromHours(72));
        await _portal.Sweep();
        await _portal.RunJobs();
        Assert.Equal(Tier.Emergency, (await _portal.Read(db => db.Escalations.SingleAsync())).Tier);
    }

    [Fact]
    public async Task Written_before_the_portal_answered_for_the_number_is_not_fetched_as_if_it_were_new()
    {
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "my skin has gone white");
        _portal.Time.Advance(TimeSpan.FromHours(3));
        Assert.Equal(0, await _portal.Sweep());
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "it hurts");
        _portal.Time.Advance(TimeSpan.FromHours(3));
        Assert.Equal(1, await _portal.Sweep());
        Assert.Equal("it hurts", (await _portal.Read(db => db.Messages.SingleAsync())).Text);
    }

    [Fact]
    public async Task Written_with_more_others_than_fit_on_a_page_of_the_carriers_list_is_found()
    {
        _portal.Carrier.MostOnAPage = 2;
        for (var i = 0; i < 7; i++) _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, $"it hurts {i}");
        Assert.Equal((7, 0), (await _portal.Sweep(), await _portal.Sweep()));
        Assert.Equal(Enumerable.Range(0, 7).Select(i => $"it hurts {i}"), await _portal.Read(db => db.Messages.OrderBy(m => m.Id).Select(m => m.Text).ToListAsync()));
    }

    [Fact]
    public async Task Written_while_the_carriers_list_could_not_be_read_is_found_later()
    {
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "it hurts");
        _portal.Carrier.ListsNothing = true;
        Assert.Equal(0, await _portal.Sweep());
        _portal.Time.Advance(TimeSpan.FromDays(20));
        _portal.Carrier.ListsNothing = false;
        Assert.Equal(1, await _portal.Sweep());
        Assert.Equal(0, await _portal.Sweep());
    }

    [Fact]
    public async Task With_the_same_words_twice_is_two_reports()
    {
        await _portal.Deliver("SM1", "it hurts");
        await _portal.Deliver("SM2", "it hurts");
        Assert.Equal(2, await _portal.Read(db => db.Messages.CountAsync()));
    }

    [Theory]
    [InlineData("", 0)]
    [InlineData("", 10)]
    [InlineData("'; DROP TABLE Messages; --", 0)]
    [InlineData("<script>alert(1)</script>", 1)]
    public async Task Of_any_form_is_kept_as_it_came(string text, int media)
    {
        Assert.Equal(200, await _portal.Deliver("SM1", text, media));
        var message = Assert.Single(await _portal.Read(db => db.Messages.ToListAsync()));
        Assert.Equal((text, media), (message.Text, message.MediaCount));
    }

    [Theory]
    [InlineData(Listening_portal.Second, 200)]
    [InlineData("https://elsewhere.example", 403)]
    public async Task Is_taken_at_the_carriers_second_address_and_at_no_other(string address, int status) =>
        Assert.Equal(status, await _portal.Deliver("SM1", "hello", calls: address));

    [Fact]
    public async Task Of_1600_characters_is_kept_whole()
    {
        await _portal.Deliver("SM1", new string('a', 1600));
        Assert.Equal(1600, (await _portal.Read(db => db.Messages.SingleAsync())).Text.Length);
    }

    [Fact]
    public async Task Is_kept_before_what_a_worker_waits_longer_to_write()
    {
        await using var scopes = _portal.Part<IServiceScopeFactory>().CreateAsyncScope();
        await using var busy = _portal.Part<IServiceScopeFactory>().CreateAsyncScope();
        await using var waiting = _portal.Part<IServiceScopeFactory>().CreateAsyncScope();
        var database = busy.ServiceProvider.GetRequiredService<PortalDb>().Database;
        await database.ExecuteSqlRawAsync(                                          // the file itself notes who wrote first: which of two tasks goes on first says nothing
            """
            CREATE TABLE "Written" ("Place" INTEGER PRIMARY KEY, "Who" TEXT NOT NULL);
            CREATE TRIGGER "MessageWritten" AFTER INSERT ON "Messages" BEGIN INSERT INTO "Written" ("Who") VALUES ('message'); END;
            CREATE TRIGGER "JobWritten" AFTER INSERT ON "Jobs" WHEN NEW."Kind" = 'nobody-does-this' BEGIN INSERT INTO "Written" ("Who") VALUES ('worker'); END;
            """);
        var worker = waiting.ServiceProvider.GetRequiredService<PortalDb>();
        worker.Add(new JobRow { ClinicId = Listening_portal.Clinic, Kind = "nobody-does-this", Subject = "1", DueAt = default, Lane = 9 });
        var all = await database.BeginTransactionAsync();
        Task[] writers =
        [
            worker.SaveChangesAsync(),
            scopes.ServiceProvider.GetRequiredService<ReceiveMessage>().Run(new ListedMessage("SMfirst", Listening_portal.Patient, Listening_portal.Patients, "words", 0)),
        ];
        Assert.DoesNotContain(writers, w => w.IsCompleted);
        await all.DisposeAsync();
        await Task.WhenAll(writers);
        Assert.Equal(["message", "worker"], await database.SqlQueryRaw<string>("""SELECT "Who" AS "Value" FROM "Written" ORDER BY "Place" """).ToListAsync());
    }

    [Fact]
    public async Task To_the_number_a_clinic_texted_from_before_it_got_another_is_still_that_clinics_to_read_and_that_of_pages_its_staffs()
    {
        Assert.Equal(200, await _portal.Deliver("SM0", "my skin has gone white"));
        await _portal.RunJobs();
        var mine = await _portal.Read(db => db.Clinics.Select(c => c.Id).SingleAsync());
        await _portal.Read(async db =>
        {
            db.Add(new ClinicRow
            {
                Name = "Another invented clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0143", PatientNumber = "+12125550146", PageNumber = "+12125550147", QuietFrom = new(21, 0), QuietTo = new(8, 0),
            });
            db.Add(new OutgoingRow { ClinicId = mine, Key = "page:1", Kind = OutgoingKind.PageText, From = Listening_portal.Pages, To = "+12125550150", Text = "TAKE", MadeAt = _portal.Time.GetCurrentInstant() });
            await db.SaveChangesAsync();
            return await db.Clinics.Where(c => c.Id == mine).ExecuteUpdateAsync(set => set.SetProperty(c => c.PatientNumber, "+12125550148").SetProperty(c => c.PageNumber, "+12125550149"));
        });
        _portal.Time.Advance(TimeSpan.FromMinutes(2));

        Assert.Equal(200, await _portal.Deliver("SM1", "it is worse now"));
        Assert.Equal(200, await _portal.Deliver("SM2", "taken", to: Listening_portal.Pages));
        var kinds = await _portal.Read(async db => (await db.Messages.IgnoreQueryFilters().Where(m => m.ClinicId == mine && m.CarrierId != "SM0").Select(m => m.Id).ToListAsync())
            .ConvertAll(id => id.ToString()).ConvertAll(id => db.Jobs.Where(j => j.Subject == id).Select(j => j.Kind).Single()));
        Assert.Equal([MessageJobs.Read, MessageJobs.StaffReply], kinds.Order());
    }

    [Fact]
    public async Task To_a_number_nobody_told_us_of_is_still_kept()
    {
        Assert.Equal(200, await _portal.Deliver("SM1", "help", to: "+12025550177"));
        Assert.Single(await _portal.Read(db => db.Messages.ToListAsync()));
    }

    [Theory]
    [Source("the carrier's documentation, default opt-out keywords", at: "STOP, STOPALL, UNSUBSCRIBE, CANCEL, END, QUIT, REVOKE, OPTOUT; START, UNSTOP")]
    [InlineData("stop", true)]
    [InlineData(" Stop. ", true)]
    [InlineData("OPTOUT", true)]
    [InlineData("it won't stop bleeding", false)]
    [InlineData("stop it hurts", false)]
    [InlineData("START", false)]
    [InlineData("Baja.", true)]
    [InlineData("ALTA", false)]
    [InlineData("ya baja la hinchazón", false)]
    public void Is_an_opt_out_only_as_one_word_alone(string text, bool stop) => Assert.Equal(stop, StopWords.IsStop(text));
}
