using AftercarePortal.Web.Features.Patients;
using System.Net;
using System.Text.Json;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Escalations;

public sealed class On_call_page : IAsyncLifetime
{
    private const string Words = "skin is white <script>alert(1)</script>";
    private static readonly Guid Report = Guid.Parse("01890a5d-ac96-774b-bcce-b302099a8099");
    private Portal_with_staff _portal = null!;
    private HttpClient _browser = null!;
    private Guid _clinic;

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open();
        (_clinic, var patient) = await _portal.Clinic("Wrenfold Clinic", 1);
        _browser = await _portal.SignedIn(_clinic, "hale");
        var now = _portal.Clock.GetCurrentInstant();
        var message = new MessageRow
        {
            ClinicId = _clinic, CarrierId = "SM1", From = "+12125550150", To = "+12125550111", Text = Words, MediaCount = 0, RawForm = "", ReceivedAt = now - Duration.FromMinutes(3), WrittenAt = now - Duration.FromMinutes(3),
        };
        var reading = new Reading(new("lower-face", 1), Tier.Urgent, [new("vo-colour", Tier.Urgent, 0, 13, "present", "evidence")], []);
        await Write(
            message,
            new EscalationRow { Id = Report, ClinicId = _clinic, PatientId = patient, Number = message.From, Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = message.ReceivedAt, WrittenAt = message.ReceivedAt, OpenKey = message.From },
            new ReadingRow { ClinicId = _clinic, MessageId = message.Id, EscalationId = Report, Tier = Tier.Urgent, Version = "lower-face.v1", Json = JsonSerializer.Serialize(reading), ReadAt = now });
    }

    public async Task DisposeAsync()
    {
        _browser.Dispose();
        await _portal.DisposeAsync();
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Of_an_intake_shows_nothing_that_went_to_or_came_from_the_number_somebody_typed(bool fromIntake)
    {
        var (now, id) = (_portal.Clock.GetCurrentInstant(), Guid.NewGuid());
        await Write(
            new EscalationRow { Id = id, ClinicId = _clinic, Number = "+12125550177", Ref = "8KQX", Tier = Tier.Urgent, OpenedAt = now, WrittenAt = now, OpenKey = "typed", FromIntake = fromIntake },
            new CheckInRow { ClinicId = _clinic, Number = "+12125550177", MessageId = Guid.NewGuid(), Pain = 7, Letter = null, At = now },
            new OutgoingRow { ClinicId = _clinic, Key = "reply:other:0", Kind = OutgoingKind.SafetyReply, From = "+12125550111", To = "+12125550177", Text = "words for another", MadeAt = now, State = OutgoingState.Accepted });
        var page = await _browser.GetStringAsync($"/Escalations/{id}");
        Assert.Equal((!fromIntake, !fromIntake), (page.Contains("pain 7 of 10", StringComparison.Ordinal), page.Contains("words for another", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task Is_found_from_the_list_of_open_reports()
    {
        var page = await _browser.GetStringAsync("/Escalations");
        Assert.Contains($"/Escalations/{Report}", page);
        Assert.Contains("urgent", page);
    }

    [Fact]
    public async Task Shows_who_how_long_ago_and_the_words_with_their_evidence_marked()
    {
        var page = await _browser.GetStringAsync($"/Escalations/{Report}");
        Assert.Contains("Patient of Wrenfold Clinic", page);
        Assert.Contains("Waiting 3 min", page);
        Assert.Contains("<mark>skin is white</mark>", page);
        Assert.Contains("Why: skin white, mottled or dusky", page);
        Assert.Contains("No signed treatment record", page);
    }

    [Fact]
    public async Task Shows_what_was_told_by_check_ins()
    {
        var now = _portal.Clock.GetCurrentInstant();
        await Write(
            new CheckInRow { ClinicId = _clinic, Number = "+12125550150", MessageId = Guid.CreateVersion7(), Pain = 2, At = now - Duration.FromHours(20) },
            new CheckInRow { ClinicId = _clinic, Number = "+12125550150", MessageId = Guid.CreateVersion7(), Pain = 6, At = now - Duration.FromMinutes(9) },
            new CheckInRow { ClinicId = _clinic, Number = "+12125550151", MessageId = Guid.CreateVersion7(), Pain = 9, At = now });
        var page = await _browser.GetStringAsync($"/Escalations/{Report}");
        Assert.True(page.IndexOf("pain 2 of 10", StringComparison.Ordinal) < page.IndexOf("pain 6 of 10", StringComparison.Ordinal));
        Assert.Contains("pain 2 of 10", page);
        Assert.DoesNotContain("pain 9 of 10", page);
    }

    [Fact]
    public async Task A_text_read_under_an_older_lexicon_says_how_it_reads_today_and_keeps_its_reading()
    {
        Assert.DoesNotContain("Read anew", await _browser.GetStringAsync($"/Escalations/{Report}"));
        await using (var scope = _portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
            await scope.ServiceProvider.GetRequiredService<PortalDb>().Readings.ExecuteUpdateAsync(set => set.SetProperty(r => r.Version, "lower-face.v0"));
        }

        var page = await _browser.GetStringAsync($"/Escalations/{Report}");
        Assert.Contains("read as urgent", page);
        Assert.Matches("Read anew for itself under lower-face.v[0-9]+: (urgent|emergency)", page);
    }

    [Fact]
    public async Task Shows_hostile_words_as_words() =>
        Assert.DoesNotContain("<script>", await _browser.GetStringAsync($"/Escalations/{Report}"));

    [Fact]
    public async Task Of_a_number_two_patients_share_names_both_and_never_says_that_nobody_is_known()
    {
        await using (var scope = _portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            db.Add(new PatientRow { Name = "Lena Sand", Number = "+12125550150" });
            await db.SaveChangesAsync();
            await db.Escalations.ExecuteUpdateAsync(set => set.SetProperty(e => e.PatientId, (Guid?)null));
        }

        var page = await _browser.GetStringAsync($"/Escalations/{Report}");
        Assert.Contains("Lena Sand, Patient of Wrenfold Clinic", page);
        Assert.DoesNotContain("Nobody in our records", page);
        Assert.DoesNotContain("No signed treatment record", page);
    }

    [Fact]
    public async Task Says_of_a_text_found_late_how_long_before_it_was_written_and_counts_from_then()
    {
        await using (var scope = _portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
            await scope.ServiceProvider.GetRequiredService<PortalDb>().Messages.ExecuteUpdateAsync(set => set.SetProperty(m => m.WrittenAt, _portal.Clock.GetCurrentInstant() - Duration.FromHours(5)).SetProperty(m => m.ReceivedAt, _portal.Clock.GetCurrentInstant() - Duration.FromHours(2)));
            await scope.ServiceProvider.GetRequiredService<PortalDb>().Escalations.ExecuteUpdateAsync(set => set.SetProperty(e => e.WrittenAt, _portal.Clock.GetCurrentInstant() - Duration.FromHours(5)));
        }

        var page = await _browser.GetStringAsync($"/Escalations/{Report}");
        Assert.Contains("<strong>5 h 00 min ago</strong>", page);
        Assert.Contains("Reached us 3 h 00 min after it was written", page);
        Assert.Contains("Waiting 5 h 00 min", page);
        Assert.Contains("waiting 5 h 00 min", await _browser.GetStringAsync("/Escalations"));
    }

    [Fact]
    public async Task Shows_every_treatment_of_the_half_year_put_right_with_what_was_added_and_what_happened_then()
    {
        var (now, filler) = (_portal.Clock.GetCurrentInstant(), Guid.CreateVersion7());
        var today = now.InZone(DateTimeZoneProviders.Tzdb["America/New_York"]).Date;
        await using (var scope = _portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            var patient = (await db.Patients.SingleAsync()).Id;
            db.Add(Given(filler, patient, 1, today.PlusDays(-12), now, ProductClass.CaHAFiller, "Went pale for a moment, refilled"));
            db.Add(Given(Guid.CreateVersion7(), patient, 2, today.PlusDays(-2), now, ProductClass.BotulinumToxinTypeA, ""));
            db.Add(new AddendumRow { Id = Guid.CreateVersion7(), TreatmentId = filler, Text = "It was the HA filler, not CaHA", WrittenBy = "Iris Hale", WrittenAt = now, Corrects = 1, RightAmount = 40 });
            await db.SaveChangesAsync();
        }

        var page = WebUtility.HtmlDecode(await _browser.GetStringAsync($"/Escalations/{Report}"));
        Assert.True(page.IndexOf("Day 2", StringComparison.Ordinal) is > 0 and var latest && latest < page.IndexOf("Day 12", StringComparison.Ordinal));
        Assert.Contains("0.40 mL (signed as 0.75 mL)", page);
        Assert.Contains("It was the HA filler, not CaHA (Iris Hale", page);
        Assert.Contains("What happened then: Went pale for a moment, refilled", page);
        Assert.Contains($"href=\"/Treatment/{filler}\"", page);
    }

    private static TreatmentRow Given(Guid id, Guid patient, int number, LocalDate on, Instant signed, ProductClass product, string events) => new()
    {
        Id = id, PatientId = patient, Number = number, TreatedOn = on, SignedBy = "Iris Hale", SignedAt = signed, Events = events,
        Placements =
        [
            new PlacementRow
            {
                Ordinal = 1, Region = Region.JawAngle, Side = Side.Left, ProductClass = product, ProductName = "Demo product", Lot = "DEMO-0417", Expiry = new(2033, 6, 30),
                HundredthsMl = product is ProductClass.BotulinumToxinTypeA ? null : 75, TenthsUnits = product is ProductClass.BotulinumToxinTypeA ? 40 : null, Plane = Plane.Subcutaneous, Device = "30 G needle",
            },
        ],
    };

    [Fact]
    public async Task Has_no_clinical_detail_in_its_title() =>
        Assert.Contains("<title>Report</title>", await _browser.GetStringAsync($"/Escalations/{Report}"));

    [Fact]
    public async Task Opened_takes_nothing_and_one_tap_takes_it()
    {
        await _browser.GetStringAsync($"/Escalations/{Report}");
        Assert.Null((await Row()).TakenBy);
        Assert.Equal(HttpStatusCode.Redirect, (await Tap("Take")).StatusCode);
        Assert.Contains("Taken by Dr hale", await _browser.GetStringAsync($"/Escalations/{Report}"));
    }

    [Fact]
    public async Task Closes_only_with_an_outcome_in_words()
    {
        await Tap("Take");
        var refused = await (await Tap("Close", ("outcome", "  "))).Content.ReadAsStringAsync();
        Assert.Contains("Write what came of it", refused);
        Assert.Null((await Row()).ClosedAt);

        await Tap("Close", ("outcome", "Seen in the clinic at 00:30."));
        Assert.Equal("Seen in the clinic at 00:30.", (await Row()).Outcome);
    }

    [Fact]
    public async Task Is_not_closed_over_a_text_nobody_has_seen_and_the_outcome_stays_in_the_form()
    {
        await Tap("Take");
        var seen = await _browser.GetStringAsync($"/Escalations/{Report}");
        var now = _portal.Clock.GetCurrentInstant();
        var more = new MessageRow { ClinicId = _clinic, CarrierId = "SM2", From = "+12125550150", To = "+12125550111", Text = "now my eye", MediaCount = 0, RawForm = "", ReceivedAt = now, WrittenAt = now };
        var reading = new Reading(new("lower-face", 1), Tier.Emergency, [], []);
        await Write(more, new ReadingRow { ClinicId = _clinic, MessageId = more.Id, EscalationId = Report, Tier = Tier.Emergency, Version = "lower-face.v1", Json = JsonSerializer.Serialize(reading), ReadAt = now });
        var html = await (await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler=Close", seen, ("outcome", "Rang her."))).Content.ReadAsStringAsync();
        Assert.Contains("has written since", html);
        Assert.Contains("Rang her.</textarea>", html);
        Assert.Null((await Row()).ClosedAt);
        await Tap("Close", ("outcome", "Rang her again."));
        Assert.NotNull((await Row()).ClosedAt);
    }

    [Fact]
    public async Task A_tap_confirms_what_its_page_showed_and_nothing_written_since()
    {
        var untaken = await _browser.GetStringAsync($"/Escalations/{Report}");
        await Tap("Take");
        await Ask(round: 2);
        await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler=Take", untaken);          // the button was pressed twice
        Assert.Equal(2, (await Row()).ConfirmRound);

        var shown = await _browser.GetStringAsync($"/Escalations/{Report}");
        Assert.Contains("I have it", shown);
        await Ask(round: 3);
        await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler=Take", shown);
        Assert.Equal(3, (await Row()).ConfirmRound);
        await Tap("Take");
        Assert.Null((await Row()).ConfirmRound);
    }

    private async Task Ask(int round)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        await scope.ServiceProvider.GetRequiredService<PortalDb>().Escalations.ExecuteUpdateAsync(set => set.SetProperty(e => e.ConfirmRound, round));
    }

    [Fact]
    public async Task What_was_read_as_routine_can_be_looked_through()
    {
        var now = _portal.Clock.GetCurrentInstant();
        var calm = new MessageRow { ClinicId = _clinic, CarrierId = "SM3", From = "+12125550150", To = "+12125550111", Text = "thanks, all as planned <i>", MediaCount = 0, RawForm = "", ReceivedAt = now, WrittenAt = now };
        var reading = new Reading(new("lower-face", 1), Tier.Routine, [], []);
        await Write(calm, new ReadingRow { ClinicId = _clinic, MessageId = calm.Id, EscalationId = null, Tier = Tier.Routine, Version = "lower-face.v1", Json = JsonSerializer.Serialize(reading), ReadAt = now });
        var page = await _browser.GetStringAsync("/Escalations");
        Assert.Contains("thanks, all as planned &lt;i&gt;", page);
        Assert.Contains("Patient of Wrenfold Clinic", page);
    }

    [Fact]
    public async Task Shows_the_chain_of_events_with_what_became_of_each_text_and_call()
    {
        var now = _portal.Clock.GetCurrentInstant();
        var hale = await Staff("hale");
        OutgoingRow Out(string key, OutgoingKind kind, string to, string text) =>
            new() { ClinicId = _clinic, Key = key, Kind = kind, From = "+12125550121", To = to, Text = text, MadeAt = now, State = OutgoingState.Accepted, CarrierId = key, ReportId = Report };
        var (page, call, reply) = (Out($"page:{Report}:1:{hale}:text", OutgoingKind.PageText, "+12125550160", "page"), Out($"page:{Report}:1:{hale}:call", OutgoingKind.PageCall, "+12125550160", "<Response/>"),
            Out($"tell:{Report}:1:taken", OutgoingKind.SafetyReply, "+12125550150", "A clinician has taken your report."));
        DeliveryRow Said(OutgoingRow about, string status, int? code = null) => new() { ClinicId = _clinic, OutgoingId = about.Id, Status = status, ErrorCode = code, ReceivedAt = now };
        EscalationEventRow Event(EscalationEvent what, string? person = null) => new() { ClinicId = _clinic, EscalationId = Report, Turn = 0, At = now, What = what, Person = person };
        await Write(Event(EscalationEvent.Opened), Event(EscalationEvent.Paged, hale), Event(EscalationEvent.Taken, hale), page, call, reply, Said(page, "delivered"), Said(page, "sent"), Said(call, "no-answer"), Said(reply, "undelivered", 30003));
        var html = WebUtility.HtmlDecode(await _browser.GetStringAsync($"/Escalations/{Report}"));
        foreach (var words in new[] { "Paged: Dr hale", "text to Dr hale: arrived", "call to Dr hale: not answered", "Taken: Dr hale", "Text to the patient", "did not arrive (30003)", "A clinician has taken your report." }) Assert.Contains(words, html);
        Assert.Matches("Our text of [^<]+ did not arrive. Ring the patient.", html);
    }

    [Fact]
    public async Task Taken_by_one_is_not_closed_by_another()
    {
        await Tap("Take");
        using var other = await _portal.SignedIn(_clinic, "reed");
        await Portal_with_staff.Post(other, $"/Escalations/{Report}?handler=Close", await other.GetStringAsync("/Staff/SignIn"), ("outcome", "done"));
        Assert.Null((await Row()).ClosedAt);
    }

    [Fact]
    public async Task Opened_again_while_the_outcome_was_typed_keeps_what_was_typed_and_says_who_has_it()
    {
        await Tap("Take");
        var open = await _browser.GetStringAsync($"/Escalations/{Report}");
        await Change(e => (e.TakenBy, e.TakenAt) = (null, null));
        var page = WebUtility.HtmlDecode(await (await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler=Close", open, ("outcome", "rang her, sends a photo"), ("seen", "1"))).Content.ReadAsStringAsync());
        Assert.Contains("Not closed. Nobody has it", page);
        Assert.Contains("rang her, sends a photo", page);
        Assert.Contains("Take it to close it with these words", page);
        var taken = WebUtility.HtmlDecode(await (await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler=Take", page)).Content.ReadAsStringAsync());
        Assert.Matches("<textarea id=\"outcome\"[^>]*>\\s*rang her, sends a photo", taken);
    }

    [Fact]
    public async Task Closed_by_two_taps_at_once_says_that_it_is_closed()
    {
        await Tap("Take");
        var open = await _browser.GetStringAsync($"/Escalations/{Report}");
        foreach (var _ in new[] { 1, 2 }) await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler=Close", open, ("outcome", "seen"), ("seen", "1"));
        var page = WebUtility.HtmlDecode(await (await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler=Close", open, ("outcome", "seen"), ("seen", "1"))).Content.ReadAsStringAsync());
        Assert.Contains("You have closed it already.", page);
        Assert.DoesNotContain("Not closed", page);
    }

    [Fact]
    public async Task Shows_what_was_read_as_routine_in_the_two_days_before_and_is_closed_without_counting_it()
    {
        var at = (await Row()).OpenedAt - Duration.FromHours(1);
        var before = new MessageRow { ClinicId = _clinic, CarrierId = "SMbefore", From = "+12125550150", To = "+12125550111", Text = "a bit pale there but fine", MediaCount = 0, RawForm = "", ReceivedAt = at, WrittenAt = at };
        await Write(before, new ReadingRow { ClinicId = _clinic, MessageId = before.Id, EscalationId = null, Tier = Tier.Routine, Version = "lower-face.v1", Json = JsonSerializer.Serialize(new Reading(new("lower-face", 1), Tier.Routine, [], [])), ReadAt = at });
        await Tap("Take");
        var page = await _browser.GetStringAsync($"/Escalations/{Report}");
        Assert.Contains("a bit pale there but fine", page);
        Assert.Contains("Read as routine when it came, before this report was opened.", page);
        await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler=Close", page, ("outcome", "seen"));
        Assert.NotNull((await Row()).ClosedAt);
    }

    [Fact]
    public async Task Of_more_texts_than_a_page_holds_says_how_many_and_leads_to_all()
    {
        var now = _portal.Clock.GetCurrentInstant();
        var reading = JsonSerializer.Serialize(new Reading(new("lower-face", 1), Tier.Routine, [], []));
        foreach (var n in Enumerable.Range(1, 101))
        {
            var calm = new MessageRow { ClinicId = _clinic, CarrierId = $"SMq{n}", From = "+12125550150", To = "+12125550111", Text = $"text {n}.", MediaCount = 0, RawForm = "", ReceivedAt = now, WrittenAt = now - Duration.FromMinutes(n) };
            await Write(calm, new ReadingRow { ClinicId = _clinic, MessageId = calm.Id, EscalationId = null, Tier = Tier.Routine, Version = "lower-face.v1", Json = reading, ReadAt = now });
        }

        var page = await _browser.GetStringAsync("/Escalations");
        Assert.Contains("101 read as routine", page);
        Assert.DoesNotContain("text 101.", page);
        Assert.Contains("text 101.", await _browser.GetStringAsync("/Escalations?part=1"));
    }

    [Fact]
    public async Task Of_another_clinic_does_not_exist()
    {
        var (elsewhere, _) = await _portal.Clinic("Another Clinic", 2);
        using var stranger = await _portal.SignedIn(elsewhere, "stranger");
        Assert.Equal(HttpStatusCode.NotFound, (await stranger.GetAsync($"/Escalations/{Report}")).StatusCode);
    }

    private async Task<HttpResponseMessage> Tap(string handler, params (string, string)[] typed) =>
        await Portal_with_staff.Post(_browser, $"/Escalations/{Report}?handler={handler}", await _browser.GetStringAsync($"/Escalations/{Report}"), typed);

    private async Task<string> Staff(string user)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        return await scope.ServiceProvider.GetRequiredService<PortalDb>().Staff.Where(s => s.UserName == user).Select(s => s.Id).SingleAsync();
    }

    private async Task Write(params object[] rows)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        db.AddRange(rows);
        await db.SaveChangesAsync();
    }

    private async Task Change(Action<EscalationRow> change)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        change(await db.Escalations.SingleAsync(e => e.Id == Report));
        await db.SaveChangesAsync();
    }

    private async Task<EscalationRow> Row()
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        return await scope.ServiceProvider.GetRequiredService<PortalDb>().Escalations.SingleAsync(e => e.Id == Report);
    }
}
