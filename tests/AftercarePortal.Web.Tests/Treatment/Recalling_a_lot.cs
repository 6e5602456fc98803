using System.Net;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Treatment;

public sealed class Recalling_a_lot : IAsyncLifetime
{
    private static readonly string[] Carrier = ["--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9"];
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Open(Carrier);
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private Task<Guid> Patient(string name, string number, bool agreed) => InDatabase(async db =>
    {
        var patient = new PatientRow { Name = name, Number = number, AgreedToTextsAt = agreed ? Instant.FromUtc(2031, 1, 1, 9, 0) : null };
        db.Add(patient);
        await db.SaveChangesAsync();
        return patient.Id;
    });

    private Task Treat(Guid patient, params (string, string)[] changes) => Treat(patient, changes, []);

    private Task Treat(Guid patient, (string, string)[] changes, params (string, string)[] more) => TreatOn("2031-05-14", patient, changes, more);

    private async Task TreatOn(string day, Guid patient, (string, string)[] changes, params (string, string)[] more)
    {
        var line = new Dictionary<string, string>
        {
            ["Region"] = "JawAngle", ["Side"] = "Left", ["Product"] = "CaHA filler", ["ProductName"] = "Demo CaHA 1.5 mL", ["Lot"] = "D-114",
            ["Expiry"] = "2031-06-30", ["Amount"] = "0.35", ["Plane"] = "Supraperiosteal", ["Device"] = "25 G cannula",
        };
        foreach (var (name, value) in changes.Where(c => c.Item1 != "RecalledWhy")) line[name] = value;
        var signed = await Send(desk, $"/Treatment/Record/{patient}", [("TreatedOn", day), ("NoConsent", "OnPaper"), .. line.Select(l => ($"Lines[0].{l.Key}", l.Value)), .. more, .. changes.Where(c => c.Item1 == "RecalledWhy")]);
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
    }

    private async Task<string> Find(string lot) => await (await Send(desk, "/Treatment/Lots", ("Typed", lot))).Content.ReadAsStringAsync();

    private Task<HttpResponseMessage> Approve(string html, params (string, string)[] typed) => Post(desk, "/Treatment/Lots?handler=Message", html, typed);

    [Fact]
    public async Task Everybody_who_got_it_is_listed_with_day_region_and_amount_and_nobody_else()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        await Treat(await Patient("Jonas Example", "+12125550151", true), ("Lot", "d 114"), ("Region", "Chin"), ("Side", "Midline"), ("Amount", "1.2"));
        await Treat(await Patient("Ida Example", "+12125550152", true), ("Lot", "D-115"));
        var html = await Find("D-114");
        Assert.Contains("2 patients", html);
        Assert.Contains("jaw angle, left, 0.35 mL, Demo CaHA 1.5 mL, lot D-114", html);
        Assert.Contains("chin, midline, 1.20 mL, Demo CaHA 1.5 mL, lot d 114", html);
        Assert.DoesNotContain("Ida Example", html);
    }

    [Theory]
    [InlineData("(01)05412345000013(17)310630(10)D-114")]
    [InlineData("]d2010541234500001310D-114\u001D17310630")]
    public async Task A_scanned_pack_finds_the_same(string barcode)
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        Assert.Contains("Mira Example", await Find(barcode));
    }

    [Fact]
    public async Task A_lot_that_begins_like_a_barcode_is_still_a_lot()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true), ("Lot", "1044"));
        Assert.Contains("Mira Example", await Find("1044"));
    }

    [Theory]
    [InlineData("", "Type or scan a lot")]
    [InlineData("NONE-SUCH", "0 patients")]
    [InlineData("%", "0 patients")]
    [InlineData("9999999999999999999999999999999999999999999999999999999999999999", "no barcode that can be read")]
    public async Task A_lot_nobody_got_finds_nobody(string typed, string said) => Assert.Contains(said, await Find(typed));

    [Fact]
    public async Task Another_clinics_patients_and_recalls_are_not_found()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        var recall = (await Approve(await Find("D-114"), ("Approved", "true"))).Headers.Location!.OriginalString;
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "jonas");
        Assert.Contains("0 patients", await (await Send(theirs, "/Treatment/Lots", ("Typed", "D-114"))).Content.ReadAsStringAsync());
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(recall)).StatusCode);
    }

    [Fact]
    public async Task After_approval_those_who_agreed_are_texted_and_the_others_are_listed_to_ring()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        var inSpanish = await Patient("Ines Example", "+12125550153", true);
        await Treat(inSpanish);
        await InDatabase(db => db.Patients.Where(p => p.Id == inSpanish).ExecuteUpdateAsync(set => set.SetProperty(p => p.Language, "es")));
        await Treat(await Patient("Jonas Example", "+12125550151", false));
        var stopped = await Patient("Ida Example", "+12125550152", true);
        await Treat(stopped);
        await Treat(await Patient("Olaf Example", "", true));
        await InDatabase(async db =>
        {
            db.Add(new OptOutRow { ClinicId = clinic, Number = "+12125550152", Stopped = true, MessageId = Guid.NewGuid(), At = Instant.FromUtc(2031, 2, 1, 9, 0) });
            return await db.SaveChangesAsync();
        });

        var html = await Find("D-114");
        Assert.Contains("about a product you had here", html);
        Assert.Contains("por un producto que le pusimos", html);
        var done = await Approve(html, ("Approved", "true"));
        Assert.Equal(HttpStatusCode.Redirect, done.StatusCode);
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();

        var recall = await InDatabase(db => db.Recalls.Include(r => r.Notices).SingleAsync());
        Assert.Equal(("D-114", "Dr mara", 5), (recall.Lot, recall.ApprovedBy, recall.Notices.Count));
        var texts = await InDatabase(db => db.Outgoing.OrderBy(o => o.To).ToListAsync());
        Assert.Equal(["+12125550150", "+12125550153"], texts.Select(t => t.To));
        Assert.All(texts, t => Assert.Equal(OutgoingKind.Notice, t.Kind));
        Assert.Contains("about a product you had here", texts[0].Text);
        Assert.StartsWith("Wrenfold Clinic: por un producto que le pusimos", texts[1].Text);
        var page = await desk.GetStringAsync(done.Headers.Location);
        Assert.Contains("ring (3)", page);
        Assert.Matches("Jonas Example</strong>.*did not agree to texts", page);
        Assert.Matches("Ida Example</strong>.*texted STOP", page);
        Assert.Matches("Olaf Example</strong>.*no number a text can reach", page);
    }

    [Fact]
    public async Task Approved_at_night_a_text_goes_in_the_morning_by_what_stands_then()
    {
        var people = new Dictionary<string, Guid>();
        foreach (var (name, number) in new[] { ("Mira", "+12125550150"), ("Jonas", "+12125550151"), ("Ida", "+12125550152") })
            await Treat(people[name] = await Patient($"{name} Example", number, true));
        var done = await Approve(await Find("D-114"), ("Approved", "true"));
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();                // five in the morning: each waits
        await InDatabase(async db =>
        {
            await db.Patients.Where(p => p.Id == people["Mira"]).ExecuteUpdateAsync(set => set.SetProperty(p => p.Number, "+12125550160").SetProperty(p => p.Language, "es"));
            await db.Patients.Where(p => p.Id == people["Jonas"]).ExecuteUpdateAsync(set => set.SetProperty(p => p.AgreedToTextsAt, (Instant?)null));
            await db.Patients.Where(p => p.Id == people["Ida"]).ExecuteUpdateAsync(set => set.SetProperty(p => p.Number, "+12125550161"));
            // Whoever had Mira's old number wants no texts; whoever had Ida's new one said so, too.
            foreach (var number in new[] { "+12125550150", "+12125550161" }) db.Add(new OptOutRow { ClinicId = clinic, Number = number, Stopped = true, MessageId = Guid.NewGuid(), At = Instant.FromUtc(2031, 5, 14, 9, 30) });
            return await db.SaveChangesAsync();
        });
        portal.Clock.Advance(TimeSpan.FromHours(4));
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();

        var texts = await InDatabase(db => db.Outgoing.Where(o => o.Kind == OutgoingKind.Notice).ToListAsync());
        var mira = Assert.Single(texts, t => t.State is not OutgoingState.HeldBack);
        Assert.Equal(("+12125550160", true), (mira.To, mira.FirstTriedAt is not null));
        Assert.StartsWith("Wrenfold Clinic: por un producto que le pusimos", mira.Text);
        desk = await portal.SignedIn(clinic, "later");
        var page = await desk.GetStringAsync(done.Headers.Location);
        Assert.Matches("Jonas Example</strong>.*did not agree to texts", page);
        Assert.Matches("Ida Example</strong>.*texted STOP", page);
    }

    [Theory]
    [InlineData("Refused", "", "the carrier refused it", true)]
    [InlineData("Accepted", "undelivered", "could not deliver", true)]
    [InlineData("Accepted", "canceled", "could not deliver", true)]
    [InlineData("Accepted", "delivered", "delivered, says the carrier", false)]
    [InlineData("Accepted", "", "no word yet", false)]
    public async Task What_the_carrier_said_decides_who_is_rung(string state, string status, string said, bool ring)
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        var done = await Approve(await Find("D-114"), ("Approved", "true"));
        var recall = await InDatabase(db => db.Recalls.Include(r => r.Notices).SingleAsync());
        await InDatabase(async db =>
        {
            var text = new OutgoingRow
            {
                ClinicId = clinic, Key = SendRecallNotice.KeyOf(recall.Id, recall.Notices[0].Id), Kind = OutgoingKind.Notice, From = "+12125550110", To = "+12125550150",
                Text = recall.Text, MadeAt = recall.ApprovedAt, State = Enum.Parse<OutgoingState>(state),
            };
            db.Add(text);
            if (status.Length > 0) db.Add(new DeliveryRow { ClinicId = clinic, OutgoingId = text.Id, Status = status, ReceivedAt = recall.ApprovedAt });
            return await db.SaveChangesAsync();
        });
        var page = await desk.GetStringAsync(done.Headers.Location);
        Assert.Contains(said, page);
        Assert.Contains(ring ? "ring (1)" : "ring (0)", page);
    }

    [Fact]
    public async Task Without_the_tick_nothing_is_kept()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        Assert.Contains("Tick that you approve", await (await Approve(await Find("D-114"))).Content.ReadAsStringAsync());
        Assert.Equal(0, await InDatabase(db => db.Recalls.CountAsync()));
    }

    [Fact]
    public async Task A_patient_who_got_it_since_the_list_was_opened_is_shown_before_anything_is_sent()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        var html = await Find("D-114");
        await Treat(await Patient("Jonas Example", "+12125550151", true));
        var again = await (await Approve(html, ("Approved", "true"))).Content.ReadAsStringAsync();
        Assert.Contains("The list has changed", again);
        Assert.Contains("Jonas Example", again);
        Assert.Equal(0, await InDatabase(db => db.Recalls.CountAsync()));
    }

    [Fact]
    public async Task The_same_approval_sent_twice_is_kept_once()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        var html = await Find("D-114");
        var both = await Task.WhenAll(Approve(html, ("Approved", "true")), Approve(html, ("Approved", "true")));
        Assert.All(both, answer => Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode));
        Assert.Equal(1, await InDatabase(db => db.RecallNotices.CountAsync()));
    }

    [Fact]
    public async Task A_lot_approved_twice_texts_nobody_twice()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        await Approve(await Find("D-114"), ("Approved", "true"));
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        await Treat(await Patient("Jonas Example", "+12125550151", true), ("Lot", "d114"), ("RecalledWhy", "The tray was set before the recall."));
        var again = await Find("d 114");
        Assert.Contains("1 of them was texted for this lot before and is not texted again", again);
        var page = await desk.GetStringAsync((await Approve(again, ("Approved", "true"))).Headers.Location);
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        Assert.Equal(["+12125550150", "+12125550151"], (await InDatabase(db => db.Outgoing.ToListAsync())).Select(o => o.To).Order());
        Assert.Contains("Mira Example: texted for this lot before; not texted again", page);
    }

    [Fact]
    public async Task A_recalled_lot_is_refused_at_scan_look_and_signing_until_it_is_said_how_it_came_to_be_given()
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        var recall = (await Approve(await Find("D-114"), ("Approved", "true"))).Headers.Location!.OriginalString;
        var patient = await Patient("Jonas Example", "+12125550151", true);
        var form = $"/Treatment/Record/{patient}";
        (string, string)[] line =
        [
            ("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"), ("Lines[0].Scan", "(17)310630(10)d114"),
            ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"),
        ];
        var html = await desk.GetStringAsync(form);
        foreach (var handler in new[] { "?handler=Scan", "?handler=Look", "" })
            Assert.Contains("Lot D-114 was recalled here", await (await Post(desk, form + handler, html, line)).Content.ReadAsStringAsync());
        Assert.Equal(1, await InDatabase(db => db.Treatments.CountAsync()));
        var signed = await Post(desk, form, html, [.. line, ("RecalledWhy", "The tray was set before the recall.")]);
        Assert.Contains("The tray was set before the recall.", await desk.GetStringAsync(signed.Headers.Location));
        Assert.Matches("(?s)no recall lists them.*Jonas Example", await desk.GetStringAsync(recall));
        foreach (var page in new[] { "/Treatment/Lots", "/Operations" }) Assert.Matches("(?s)no recall lists them.*1 patient", await desk.GetStringAsync(page));
    }

    [Fact]
    public async Task A_record_and_a_draft_with_a_recalled_lot_say_so_at_the_top_and_lead_to_the_placement()
    {
        var mira = await Patient("Mira Example", "+12125550150", true);
        await Treat(mira, ("Lot", "d 114"));
        var jonas = await Patient("Jonas Example", "+12125550151", true);
        await Send(desk, $"/Treatment/Record/{jonas}?handler=Keep", ("RecalledWhy", "The tray was set before."), ("Lines[0].Lot", "D-115"), ("Lines[1].Lot", "D-114"));
        var record = $"/Treatment/{await InDatabase(db => db.Treatments.Select(t => t.Id).SingleAsync())}";
        Assert.DoesNotContain("was recalled here", await desk.GetStringAsync(record));
        await Approve(await Find("D-114"), ("Approved", "true"));
        foreach (var (page, place, mark) in new[] { (record, "placement-1", "placement 1"), ($"/Treatment/Record/{jonas}", "line-1", "placement 2") })
        {
            var html = await desk.GetStringAsync(page);
            Assert.InRange(html.IndexOf("was recalled here", StringComparison.Ordinal), 0, html.IndexOf($"id=\"{place}\"", StringComparison.Ordinal));
            Assert.Contains($"<a href=\"#{place}\">{mark}</a>", html);
        }
    }

    [Fact]
    public async Task A_record_signed_after_a_recall_whose_lot_may_be_the_recalled_one_says_so_and_stands_on_the_recall()
    {
        await Treat(await Patient("Ida Example", "+12125550152", true));
        var recall = (await Approve(await Find("D-114"), ("Approved", "true"))).Headers.Location!.OriginalString;
        await Treat(await Patient("Mira Example", "+12125550150", true), ("Lot", "D-11421S77"));
        var record = await InDatabase(db => db.Placements.Where(p => p.Lot == "D-11421S77").Select(p => p.TreatmentId).SingleAsync());
        Assert.Matches("(?s)A lot here may be lot D-114.*which was recalled here.*<a href=\"#placement-1\">placement 1</a>", await desk.GetStringAsync($"/Treatment/{record}"));
        Assert.Matches("(?s)not counted and not texted: look.*Mira Example</a>: treated on 14 May 2031 with lot D-11421S77", await desk.GetStringAsync(recall));
    }

    [Fact]
    public async Task A_lot_in_a_draft_or_only_drawn_up_is_named_beside_those_who_got_it()
    {
        var mira = await Patient("Mira Example", "+12125550150", true);
        await Send(desk, $"/Treatment/Record/{mira}?handler=Keep", ("Lines[0].Lot", "D-114"));
        await Treat(await Patient("Jonas Example", "+12125550151", true), ("Lot", "D-115"));
        await Treat(await Patient("Ida Example", "+12125550152", true), [("Lot", "D-115")], ("Drawn[0].Product", "CaHA filler"), ("Drawn[0].Lot", "D-114"), ("Drawn[0].Amount", "1.5"));
        var found = await Find("D-114");
        Assert.Contains("0 patients", found);
        Assert.Contains("Mira Example</a>: it stands in a draft of Dr mara that nobody signed yet", found);
        Assert.Contains("Ida Example</a>: it was drawn up, and no placement of it is written", found);
        Assert.DoesNotContain("Jonas Example", found);
    }

    [Fact]
    public async Task A_scan_on_the_record_form_fills_lot_and_expiry_and_is_kept_with_the_placement()
    {
        var patient = await Patient("Mira Example", "+12125550150", true);
        var page = $"/Treatment/Record/{patient}";
        var html = await desk.GetStringAsync(page);
        (string, string)[] scanned = [("Lines[0].Scan", "]d201054123450000131731060010D-114"), ("Lines[0].Device", "25 G cannula")];
        var filled = await (await Post(desk, page + "?handler=Scan", html, scanned)).Content.ReadAsStringAsync();
        Assert.Contains("value=\"D-114\"", filled);
        Assert.Contains("value=\"2031-06-30\"", filled);
        Assert.Contains("value=\"25 G cannula\"", filled);
        await Treat(patient, ("Lot", ""), ("Expiry", ""), ("Scan", "]d201054123450000131731060010D-114"));
        var kept = await InDatabase(db => db.Placements.SingleAsync());
        Assert.Equal(("D-114", new LocalDate(2031, 6, 30), "(01)05412345000013(17)310630(10)D-114"), (kept.Lot, kept.Expiry, kept.Udi));
    }

    [Theory]
    [InlineData("D-114", "(17)310630(10)D-114(21)S77")]
    [InlineData("d114 21S77", "(17)310630(10)D-11421S77")]
    public async Task A_scan_whose_separators_were_dropped_chooses_no_lot_and_takes_the_one_typed_from_the_pack(string printed, string kept)
    {
        var patient = await Patient("Mira Example", "+12125550150", true);
        var page = $"/Treatment/Record/{patient}";
        var html = await desk.GetStringAsync(page);
        (string, string)[] line =
        [
            ("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"),
            ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"), ("Lines[0].Scan", "]d21731063010D-11421S77"),
        ];
        var filled = await (await Post(desk, page + "?handler=Scan", html, line)).Content.ReadAsStringAsync();
        Assert.Contains("value=\"2031-06-30\"", filled);
        Assert.DoesNotMatch("name=\"Lines\\[0\\].Lot\" value=\"[^\"]", filled);
        Assert.Contains("Compare with the pack", await (await Post(desk, page, html, line)).Content.ReadAsStringAsync());
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, page, html, [.. line, ("Lines[0].Lot", printed)])).StatusCode);
        Assert.Equal((printed, kept), await InDatabase(db => db.Placements.Select(p => new ValueTuple<string, string?>(p.Lot, p.Udi)).SingleAsync()));
    }

    [Theory]
    [InlineData("D-11421S77")]
    [InlineData("D-114240R55")]
    [InlineData("D-11417310630")]
    public async Task A_lot_that_may_have_run_together_with_what_followed_it_is_shown_as_may_be_and_counted_once_put_right(string lot)
    {
        await Treat(await Patient("Mira Example", "+12125550150", true), ("Lot", lot));
        await Treat(await Patient("Jonas Example", "+12125550151", true), ("Lot", "D-1142"));
        var ida = await Patient("Ida Example", "+12125550152", true);
        await Send(desk, $"/Treatment/Record/{ida}?handler=Keep", ("Drawn[0].Lot", lot));
        var found = await Find("D-114");
        Assert.Contains("0 patients", found);
        Assert.Matches($"Mira Example</a>: treated on 14 May 2031 with lot {lot}, which may be this lot", found);
        Assert.Matches($"Ida Example</a>: it stands in a draft of Dr mara that nobody signed yet, as lot {lot}, which may be this lot", found);
        Assert.DoesNotContain("Jonas Example", found);
        var record = await InDatabase(db => db.Placements.Where(p => p.Lot == lot).Select(p => p.TreatmentId).SingleAsync());
        await Send(desk, $"/Treatment/{record}", ("Form.Text", "Read off the label."), ("Form.Corrects", "1"), ("Form.RightLot", "D-114"));
        var again = await Find("D-114");
        Assert.Contains("1 patient<", again);
        Assert.DoesNotContain("treated on 14 May 2031 with", again);
    }

    [Theory]
    [InlineData("01054123450000131731063010D-11421S77", "Compare with the pack")]
    [InlineData("(01)05412345000013(17)310630", "names no lot")]
    [InlineData("(01)05412345000014(10)D-114", "check digit does not fit")]
    public async Task A_barcode_that_names_no_sure_lot_is_never_answered_with_nobody(string barcode, string said)
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        var found = await Find(barcode);
        Assert.Contains(said, found);
        Assert.DoesNotContain("0 patients", found);
    }

    [Fact]
    public async Task A_lot_in_a_draft_that_was_thrown_away_is_named_as_unsigned()
    {
        var mira = await Patient("Mira Example", "+12125550150", true);
        var form = await desk.GetStringAsync($"/Treatment/Record/{mira}");
        await Post(desk, $"/Treatment/Record/{mira}?handler=Throw", form, ("Drawn[0].Product", "CaHA filler"), ("Drawn[0].Lot", "D-114"), ("Drawn[0].Amount", "1.5"));
        Assert.Contains("Mira Example</a>: it stands in a draft that Dr mara threw away. Unsigned: it may have been given all the same", await Find("D-114"));
        Assert.DoesNotContain("Mira Example", await Find("D-115"));
    }

    [Fact]
    public async Task A_late_record_of_a_pack_that_has_expired_since_can_be_looked_over_and_signed()
    {
        var patient = await Patient("Mira Example", "+12125550150", true);
        (string, string)[] scanned = [("Lot", ""), ("Expiry", ""), ("Scan", "(17)310513(10)D-114")];
        var form = $"/Treatment/Record/{patient}";
        var looked = await (await Send(desk, form + "?handler=Look", ("TreatedOn", "2031-05-13"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo"),
            ("Lines[0].Scan", "(17)310513(10)D-114"), ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"))).Content.ReadAsStringAsync();
        Assert.Contains("Look it over: nothing is signed yet", looked);
        await TreatOn("2031-05-13", patient, scanned);
        Assert.Equal(new LocalDate(2031, 5, 13), await InDatabase(db => db.Placements.Select(p => p.Expiry).SingleAsync()));
    }

    [Theory]
    [InlineData("(17)310513(10)D-114", "", "expired on 13 May 2031")]
    [InlineData("(01)05412345000014(10)D-114", "", "check digit does not fit")]
    [InlineData("10D-11417310630", "", "Compare with the pack and type the lot as it is printed there")]
    [InlineData("1731063010D-11421S77", "", "the lot may be D-11421S77 or D-114. Compare with the pack")]
    [InlineData("1731063010D-11421S77", "D-115", "the lot that was typed is in no reading of the barcode (D-11421S77 or D-114): look again at the pack, and correct the lot or empty the barcode")]
    [InlineData("(17)310630(10)D-114", "D-115", "is not the one in the barcode")]
    [InlineData("<script>", "", "no barcode that can be read here")]
    public async Task A_scan_that_does_not_fit_is_refused_with_its_reason(string scan, string lot, string reason)
    {
        var patient = await Patient("Mira Example", "+12125550150", true);
        var answer = await Send(desk, $"/Treatment/Record/{patient}?handler=Scan", ("Lines[0].Scan", scan), ("Lines[0].Lot", lot));
        Assert.Contains(reason, await answer.Content.ReadAsStringAsync());
    }

    [Theory]
    [InlineData("10D-11421S7717310630", "2031-12-31", "the expiry that was typed is not the one in the barcode")]
    [InlineData("10D-11421S7717310401", "2031-12-31", "the expiry that was typed is not the one in the barcode")]
    [InlineData("10D-11421S7717310401", "2031-12-31", "this pack expired on 1 April 2031")]
    [InlineData("10D-11421S7717310401", "2031-04-01", "this pack expired on 1 April 2031")]
    [InlineData("10D-11421S7717310630", "06/2031", "the expiry that was typed is not the one in the barcode")]
    public async Task An_expiry_that_is_in_no_reading_of_a_scan_without_separators_is_refused_with_the_lot_typed(string scan, string expiry, string reason)
    {
        var answer = await Send(desk, $"/Treatment/Record/{await Patient("Mira Example", "+12125550150", true)}?handler=Scan", ("Lines[0].Scan", scan), ("Lines[0].Lot", "D-114"), ("Lines[0].Expiry", expiry));
        Assert.Contains(reason, await answer.Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task An_expiry_that_is_in_a_reading_of_a_scan_without_separators_passes()
    {
        var answer = await Send(desk, $"/Treatment/Record/{await Patient("Mira Example", "+12125550150", true)}?handler=Scan", ("Lines[0].Scan", "10D-11421S7717310630"), ("Lines[0].Lot", "D-114"), ("Lines[0].Expiry", "2031-06-30"));
        var page = await answer.Content.ReadAsStringAsync();
        Assert.DoesNotContain("is not the one in the barcode", page);
        Assert.DoesNotContain("in no reading", page);
    }

    [Theory]
    [InlineData("1731063010D-11421S77")]
    [InlineData("10D-11417310630")]
    public async Task A_barcode_without_product_number_and_separators_leads_to_every_lot_it_may_be_of(string barcode)
    {
        await Treat(await Patient("Mira Example", "+12125550150", true));
        var found = await Find(barcode);
        Assert.Contains("Compare with the pack", found);
        Assert.DoesNotContain("0 patients", found);
        Assert.Contains("Lot D-114</strong>: 1 patient", found);
        Assert.Contains("name=\"Typed\" value=\"D-114\"", found);
        var raw = await (await Send(desk, "/Treatment/Lots", ("Typed", barcode), ("IsLot", "true"))).Content.ReadAsStringAsync();
        Assert.Contains($"Lot {barcode}: 0 patients", raw);
    }

    [Theory]
    [InlineData("D-11421S77", true)]
    [InlineData("D-114", false)]
    public async Task A_recalled_lot_that_is_only_another_reading_of_the_scan_does_not_keep_the_record_from_being_looked_over(string printed, bool passes)
    {
        await Treat(await Patient("Ida Example", "+12125550152", true));
        await Approve(await Find("D-114"), ("Approved", "true"));
        (string, string)[] line =
        [
            ("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"),
            ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"), ("Lines[0].Scan", "]d21731063010D-11421S77"), ("Lines[0].Lot", printed),
        ];
        var page = $"/Treatment/Record/{await Patient("Mira Example", "+12125550150", true)}";
        var looked = await (await Send(desk, page + "?handler=Look", line)).Content.ReadAsStringAsync();
        Assert.Equal(passes, looked.Contains("Look it over: nothing is signed yet", StringComparison.Ordinal));
        Assert.Equal(passes ? HttpStatusCode.Redirect : HttpStatusCode.OK, (await Send(desk, page, line)).StatusCode);
    }

    [Theory]
    [InlineData("D-11421S77")]
    [InlineData("D-11417310630")]
    public async Task A_record_that_does_not_hold_is_shown_where_its_lot_may_have_run_together_with_what_followed_it(string lot)
    {
        await Treat(await Patient("Mira Example", "+12125550150", true), ("Lot", lot));
        var record = $"/Treatment/{await InDatabase(db => db.Treatments.Select(t => t.Id).SingleAsync())}";
        await Send(desk, record, ("Form.Text", "This was somebody else."), ("Form.Standing", "WrongPatient"));
        Assert.Matches($"Mira Example</a>: the record does not hold; it names lot {lot}, which may be this lot", await Find("D-114"));
    }
}
