using System.Net;
using System.Text;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Treatment;

public sealed class Writing_a_record : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient mara = null!;
    private Guid clinic, patient;
    private string page = "";

    public async Task InitializeAsync()
    {
        portal = await Open();
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        mara = await portal.SignedIn(clinic, "mara");
        page = $"/Treatment/Record/{patient}";
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private static (string, string)[] Line(int i, params (string Name, string Value)[] changes)
    {
        var line = new Dictionary<string, string>
        {
            ["Region"] = "JawAngle", ["Side"] = "Left", ["Product"] = "CaHA filler", ["ProductName"] = "Demo CaHA 1.5 mL", ["Lot"] = "D-114",
            ["Expiry"] = "2031-06-30", ["Amount"] = "0.75", ["Plane"] = "Supraperiosteal", ["Device"] = "22 G cannula",
        };
        foreach (var (name, value) in changes) line[name] = value;
        return [.. line.Select(l => ($"Lines[{i}].{l.Key}", l.Value))];
    }

    private static (string, string)[] Drawn(int i, string lot, string amount, string product = "CaHA filler", string diluent = "") =>
        [($"Drawn[{i}].Product", product), ($"Drawn[{i}].Lot", lot), ($"Drawn[{i}].Amount", amount), ($"Drawn[{i}].Diluent", diluent)];

    private static (string, string)[] Form(params (string, string)[][] parts) => [("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper"), .. parts.SelectMany(p => p)];

    private static async Task<string> Text(HttpResponseMessage answer) => WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());

    [Fact]
    public async Task Running_totals_stand_against_what_was_drawn_up_and_name_the_units_in_a_tenth_of_a_millilitre()
    {
        var html = await mara.GetStringAsync(page);
        var counted = await Text(await Post(mara, page + "?handler=More", html, Form(
            Line(0), Line(1, ("Side", "Right"), ("Amount", "0.5"), ("Lot", "d 114")), Line(2, ("Region", "Platysma"), ("Product", "botulinum toxin type A"), ("Lot", "T-1"), ("Amount", "12.5")),
            Drawn(0, "D-114", "1.5"), Drawn(1, "T-1", "100", "botulinum toxin type A", "2.5"))));
        Assert.Contains("CaHA filler, lot D-114: 1.50 mL drawn up, 1.25 mL placed, 0.25 mL left.", counted);
        Assert.Contains("botulinum toxin type A, lot T-1: 100.0 units drawn up, 12.5 units placed, 87.5 units left.", counted);
        Assert.Contains("dissolved or diluted with 2.50 mL, 4 units of this preparation in 0.1 mL.", counted);
    }

    [Theory]
    [InlineData("1.24", "CaHA filler", "", "More of a lot was placed than drawn up")]
    [InlineData("", "CaHA filler", "", "Drawn up 1: the amount")]
    [InlineData("-1", "CaHA filler", "", "Drawn up 1: the amount")]
    [InlineData("99999999999", "CaHA filler", "", "Drawn up 1: the amount")]
    [InlineData("100", "botulinum toxin type A", "", "give the mL of diluent")]
    [InlineData("100", "botulinum toxin type A", "0", "the diluent is 0.01 to 50.00 mL")]
    [InlineData("1.5", "", "", "Drawn up 1: choose the product class")]
    public async Task What_was_drawn_up_is_checked(string amount, string product, string diluent, string reason)
    {
        var answer = await Text(await Send(mara, page, Form(Line(0), Line(1, ("Side", "Right"), ("Amount", "0.5")), Drawn(0, "D-114", amount, product, diluent))));
        Assert.Contains(reason, answer);
        Assert.Equal(0, await InDatabase(db => db.Treatments.CountAsync()));
    }

    [Fact]
    public async Task Everything_written_stands_in_the_record_and_in_its_tagged_PDF()
    {
        var record = (await Send(mara, page, [.. Form(Line(0, ("EntryPoint", "behind the angle")), Drawn(0, "D-114", "1.5")), ("Events", "pressure <b>, no blanching seen")])).Headers.Location!.OriginalString;
        var html = await mara.GetStringAsync(record);
        Assert.Contains("pressure &lt;b&gt;, no blanching seen", html);
        Assert.Contains("entry behind the angle", html);
        Assert.Contains("1.50 mL drawn up, 0.75 mL placed, 0.75 mL left.", html);
        await Send(mara, record, ("Text", "An addendum."));

        var answer = await mara.GetAsync(record + "/Pdf");
        Assert.Equal("application/pdf", answer.Content.Headers.ContentType!.MediaType);
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await answer.Content.ReadAsByteArrayAsync()), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        Assert.NotNull(file.Internals.Catalog.Elements.GetDictionary("/StructTreeRoot"));
        Assert.True(file.Internals.Catalog.Elements.GetDictionary("/MarkInfo")!.Elements.GetBoolean("/Marked"));
        var drawn = string.Concat(Enumerable.Range(0, file.PageCount).Select(i => Encoding.Latin1.GetString(file.Pages[i].Contents.CreateSingleContent().Stream.UnfilteredValue)));
        Assert.Contains("entry behind the", drawn);
        Assert.Contains("no blanching seen", drawn);
        Assert.Contains("An addendum.", drawn);
        Assert.Contains("Signed by Dr mara", drawn);

        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        Assert.Equal(HttpStatusCode.NotFound, (await (await portal.SignedIn(other, "jonas")).GetAsync(record + "/Pdf")).StatusCode);
    }

    [Fact]
    public async Task What_is_the_same_as_in_the_line_before_need_not_be_typed_again()
    {
        await Send(mara, page, Form(Line(0), [("Lines[1].Region", "Chin"), ("Lines[1].Side", "Midline"), ("Lines[1].Amount", "0.2"), ("Lines[1].Same", "true")]));
        var placements = await InDatabase(db => db.Placements.OrderBy(p => p.Ordinal).ToListAsync());
        Assert.Equal([("D-114", "22 G cannula", Region.JawAngle), ("D-114", "22 G cannula", Region.Chin)], placements.Select(p => (p.Lot, p.Device, p.Region)));
    }

    [Theory]
    [InlineData("botulinum toxin type A", "", "Placement 2: ")]                        // the pack above is no toxin
    [InlineData("", "(01)05412345000020(17)310630(10)H-9", "Placement 2: ")]           // its own pack is another product than the one above
    public async Task The_pack_of_the_line_before_is_never_taken_for_another_product(string product, string scan, string refused)
    {
        var answer = await Send(mara, page, Form(
            Line(0, ("Scan", "(01)05412345000013(17)310630(10)D-114")),
            [("Lines[1].Region", "Chin"), ("Lines[1].Side", "Midline"), ("Lines[1].Amount", "0.2"), ("Lines[1].Same", "true"), ("Lines[1].Product", product), ("Lines[1].Scan", scan)]));
        Assert.Contains(refused, await Text(answer));
        Assert.Empty(await InDatabase(db => db.Placements.ToListAsync()));
    }

    [Fact]
    public async Task Another_syringe_of_the_same_product_needs_its_scan_alone()
    {
        await Send(mara, page, Form(
            Line(0, ("Scan", "(01)05412345000013(17)310630(10)D-114")),
            [("Lines[1].Region", "Chin"), ("Lines[1].Side", "Midline"), ("Lines[1].Amount", "0.2"), ("Lines[1].Same", "true"), ("Lines[1].Scan", "(01)05412345000013(17)310630(10)D-115")]));
        Assert.Equal(["D-114", "D-115"], (await InDatabase(db => db.Placements.OrderBy(p => p.Ordinal).ToListAsync())).Select(p => p.Lot));
    }

    [Fact]
    public async Task A_draft_kept_in_one_window_is_lost_by_nothing_done_in_another()
    {
        var (pc, tablet) = (await mara.GetStringAsync(page), await mara.GetStringAsync(page));
        await Post(mara, page + "?handler=More", tablet, Form(Line(0), Line(1, ("Region", "JawBody"))));
        var kept = await Text(await Post(mara, page + "?handler=More", pc, Form(Line(0, ("Region", "Chin"), ("Side", "Midline")))));
        Assert.Contains("Another window of yours had kept a draft", kept);
        Assert.Contains("\"JawBody\"", (await InDatabase(db => db.ThrownDrafts.SingleAsync())).Form);
        // Signing what stands in the other window leaves the draft that is kept.
        await Post(mara, page, tablet, Form(Line(0)));
        Assert.Single(await InDatabase(db => db.Treatments.ToListAsync()));
        Assert.Contains("\"Chin\"", (await InDatabase(db => db.TreatmentDrafts.SingleAsync())).Form);
    }

    [Fact]
    public async Task The_page_reminds_of_what_the_placements_call_for_with_its_source()
    {
        var html = await mara.GetStringAsync(page);
        Assert.DoesNotContain("facial artery", html);
        var reminded = await Text(await Post(mara, page + "?handler=More", html, Form(Line(0, ("Amount", "3.5")))));
        Assert.Contains("facial artery", reminded);
        Assert.Contains("does not dissolve CaHA filler", reminded);
        Assert.Contains("adds up to 3.50 mL", reminded);
        Assert.Contains("S01, seen", reminded);
    }

    [Fact]
    public async Task A_draft_of_an_adverse_event_report_holds_the_lot_and_leaves_the_name_out()
    {
        var record = (await Send(mara, page, Form(Line(0)))).Headers.Location!.OriginalString;
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await mara.GetByteArrayAsync(record + "/AdverseEvent")), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        var drawn = string.Concat(Enumerable.Range(0, file.PageCount).Select(i => Encoding.Latin1.GetString(file.Pages[i].Contents.CreateSingleContent().Stream.UnfilteredValue)));
        Assert.Contains("Not sent to anybody", drawn);
        foreach (var field in new[] { "Age", "Sex", "Weight", "product problem", "Date of the event", "Date of this report", "Outcome", "Tests", "history", "common name", "catalogue number", "serial number", "UDI", "Operator", "Manufacturer", "SRN", "explant date", "occupation" })
            Assert.Contains(field, drawn);
        Assert.Contains("D-114", drawn);
        Assert.DoesNotContain("Patient of", drawn);
    }

    [Fact]
    public async Task Looked_over_it_shows_the_dated_texts_that_signing_starts_and_what_merging_did_and_signs_nothing()
    {
        await InDatabase(async db =>
        {
            (await db.Patients.SingleAsync()).AgreedToTextsAt = NodaTime.Instant.FromUtc(2031, 5, 1, 9, 0);
            return await db.SaveChangesAsync();
        });
        var html = await mara.GetStringAsync(page);
        var looked = await Text(await Post(mara, page + "?handler=Look", html, Form(Line(0), Line(1, ("Region", "Platysma"), ("Product", "botulinum toxin type A"), ("Lot", "T-1"), ("Amount", "12.5")))));
        Assert.Contains("nothing is signed yet", looked);
        Assert.Contains("Wed 14 May 2031", looked);
        Assert.Contains("(one text for several products)", looked);
        Assert.Contains("left out, and why", looked);
        Assert.Contains("911", looked);
        Assert.Equal(0, await InDatabase(db => db.Treatments.CountAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(mara, page, looked, ("NoConsent", "OnPaper"))).StatusCode);
        Assert.Equal(["D-114", "T-1"], await InDatabase(db => db.Placements.OrderBy(p => p.Ordinal).Select(p => p.Lot).ToListAsync()));
    }

    [Fact]
    public async Task Looked_over_it_shows_the_warning_list_at_signing_and_the_advice_of_that_evening_once()
    {
        portal.Clock.Advance(TimeSpan.FromMinutes((4 * 60) + 40));                  // 9:40 in New York
        var nora = await portal.SignedIn(clinic, "nora");
        var looked = await Text(await Post(nora, page + "?handler=Look", await nora.GetStringAsync(page), Form(Line(0))));
        Assert.Matches("(?s)14 May 2031, 09:40.*Watch today.*14 May 2031, 18:00.*Watch today.*14 May 2031, 19:15.*Do not rub or press.*14 May 2031, 20:30.*How does your face feel", looked);
        Assert.Contains("the same text goes out a short time before", looked);
    }

    [Theory]
    [InlineData("1.5", false)]
    [InlineData("1.51", true)]
    public async Task At_a_touch_up_the_page_says_of_an_amount_that_the_protocol_allowed_half_as_much(string amount, bool said)
    {
        var first = (await Send(mara, page, Form(Line(0)))).Headers.Location!.OriginalString.Split('/')[^1];
        var html = await mara.GetStringAsync(page);
        var told = await Text(await Post(mara, page + "?handler=More", html, [.. Form(Line(0, ("Amount", amount))), ("TouchUpOf", first)]));
        Assert.Equal(said, told.Contains($"At this touch-up CaHA filler on the patient's left jawline adds up to {amount} mL", StringComparison.Ordinal));
        Assert.DoesNotContain("adds up to", await Text(await Post(mara, page + "?handler=More", html, [.. Form(Line(0, ("Amount", amount))), ("TouchUpOf", "")])));
    }

    [Fact]
    public async Task Looked_over_it_says_when_no_text_will_go_out()
    {
        var html = await mara.GetStringAsync(page);
        Assert.Contains("has not agreed to care texts", await Text(await Post(mara, page + "?handler=Look", html, Form(Line(0)))));
        Assert.Contains("choose the plane", await Text(await Post(mara, page + "?handler=Look", html, Form(Line(0, ("Plane", ""))))));
    }

    [Fact]
    public async Task It_begins_from_the_plan_without_amounts_and_ends_with_planned_beside_used()
    {
        await Send(mara, $"/Treatment/Plan/{patient}", ("Form.Lines[0].Region", "JawAngle"), ("Form.Lines[0].Side", "Left"), ("Form.Lines[0].Product", "CaHA filler"), ("Form.Lines[0].Amount", "1"), ("Form.Lines[0].Device", "a cannula"));
        var html = await mara.GetStringAsync(page);
        Assert.Contains("value=\"a cannula\"", html);
        Assert.Contains("planned: 1.00 mL", html);
        Assert.DoesNotMatch("name=\"Lines\\[0\\].Amount\" value=\"[^\"]+\"", html);
        Assert.Contains("The patient has not accepted the plan", html);
        Assert.Contains("The emergency kit was not checked", html);
        var signed = await Post(mara, page, html, Form(Line(0)));
        Assert.Contains("planned 1.00 mL, used 0.75 mL (0.25 mL less)", await mara.GetStringAsync(signed.Headers.Location));
    }

    [Fact]
    public async Task What_is_more_than_was_drawn_up_is_flagged_before_signing()
    {
        var html = await mara.GetStringAsync(page);
        var told = await Text(await Post(mara, page + "?handler=Keep", html, Form(Line(0, ("Amount", "2")), Drawn(0, "D-114", "1.5"))));
        Assert.Contains("class=\"totals over\"", told);
        Assert.Contains("0.50 mL more placed than drawn up", told);
    }

    public static TheoryData<int> Areas => [.. Enumerable.Range(0, FaceMap.Areas.Count)];

    [Theory]
    [MemberData(nameof(Areas))]
    public async Task A_tap_on_the_face_opens_a_placement_there(int which)
    {
        var area = FaceMap.Areas[which];
        var html = await mara.GetStringAsync(page);
        var tapped = await (await Post(mara, page + "?handler=Face", html, [.. Form(Line(0)), ("Face.x", $"{area.X + area.Width / 2}"), ("Face.y", $"{area.Y + area.Height / 2}")])).Content.ReadAsStringAsync();
        Assert.Matches($"name=\"Lines\\[1\\].Region\"><option value=\"\">Choose</option>.*?<option value=\"{area.Region}\" selected", tapped.Replace("\n", "").Replace("  ", ""));
        Assert.Matches($"name=\"Lines\\[1\\].Side\">.*?<option value=\"{area.Side}\" selected", tapped.Replace("\n", ""));
        Assert.Contains("value=\"D-114\"", tapped);
    }

    [Fact]
    public void The_patients_own_left_lies_on_the_right_of_the_drawing_and_no_two_frames_overlap()
    {
        Assert.All(FaceMap.Areas.Where(a => a.Side is Side.Left), a => Assert.True(a.X >= FaceMap.Width / 2));
        Assert.All(FaceMap.Areas.Where(a => a.Side is Side.Right), a => Assert.True(a.X + a.Width <= FaceMap.Width / 2));
        for (var x = 0; x < FaceMap.Width; x++)
            for (var y = 0; y < FaceMap.Height; y++)
                Assert.True(FaceMap.Areas.Count(a => x >= a.X && x < a.X + a.Width && y >= a.Y && y < a.Y + a.Height) <= 1, $"{x}, {y}");
        Assert.Equal(Enum.GetValues<Region>().Order(), FaceMap.Areas.Select(a => a.Region).Distinct().Order());
    }

    [Theory]
    [InlineData("0", "0")]
    [InlineData("-5", "9999999")]
    [InlineData("x", "")]
    public async Task A_tap_beside_the_face_says_so_and_loses_nothing(string x, string y)
    {
        var html = await mara.GetStringAsync(page);
        var answer = await (await Post(mara, page + "?handler=Face", html, [.. Form(Line(0)), ("Face.x", x), ("Face.y", y)])).Content.ReadAsStringAsync();
        Assert.Contains("outside all regions", answer);
        Assert.Contains("value=\"D-114\"", answer);
    }

    [Fact]
    public async Task The_drawing_is_well_formed_and_only_for_staff()
    {
        System.Xml.Linq.XDocument.Parse(await mara.GetStringAsync("/Treatment/Face.svg"));
        Assert.Equal(HttpStatusCode.Redirect, (await portal.Browser().GetAsync("/Treatment/Face.svg")).StatusCode);
    }

    [Fact]
    public async Task What_was_typed_is_there_again_in_another_window_until_it_is_signed()
    {
        await Send(mara, page, Form(Line(0, ("Amount", "no number"), ("Device", "a \u20AC device"))));
        var again = await mara.GetStringAsync(page);
        Assert.Contains("value=\"no number\"", again);
        Assert.Contains("Taken up from your draft", again);
        var signed = await Post(mara, page, again, Form(Line(0)));
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
        Assert.DoesNotContain("draft of", await mara.GetStringAsync(page));
        Assert.Equal(0, await InDatabase(db => db.TreatmentDrafts.CountAsync()));
    }

    [Fact]
    public async Task Another_person_sees_that_a_record_was_begun_but_not_its_words()
    {
        await Send(mara, page, Form(Line(0, ("Amount", "no number"))));
        var html = await (await portal.SignedIn(clinic, "jonas")).GetStringAsync(page);
        Assert.Contains("Dr mara has begun a record of this patient", html);
        Assert.DoesNotContain("no number", html);
    }

    [Fact]
    public async Task Of_two_people_who_write_at_once_the_second_is_told_and_keeps_what_was_typed()
    {
        var jonas = await portal.SignedIn(clinic, "jonas");
        var (first, second) = (await mara.GetStringAsync(page), await jonas.GetStringAsync(page));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(mara, page, first, Form(Line(0)))).StatusCode);
        var told = await (await Post(jonas, page, second, Form(Line(0, ("Lot", "D-115"))))).Content.ReadAsStringAsync();
        Assert.Contains("Dr mara signed a record of this patient since you opened this form", told);
        Assert.Contains("value=\"D-115\"", told);
        Assert.Equal(1, await InDatabase(db => db.Treatments.CountAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(jonas, page, told, Form(Line(0, ("Lot", "D-115"))))).StatusCode);
        Assert.Equal([1, 2], await InDatabase(db => db.Treatments.OrderBy(t => t.Number).Select(t => t.Number).ToListAsync()));
    }

    [Theory]
    [InlineData("Keep")]
    [InlineData("More")]
    [InlineData("Look")]
    public async Task What_is_changed_in_an_older_window_after_signing_becomes_a_record_of_its_own_and_is_not_lost(string press)
    {
        var older = await mara.GetStringAsync(page);
        await Post(mara, page + "?handler=Keep", older, Form(Line(0)));
        var tablet = await mara.GetStringAsync(page);
        var first = (await Post(mara, page, tablet, Form(Line(0)))).Headers.Location!.OriginalString;
        var pressed = await Text(await Post(mara, page + "?handler=" + press, older, Form(Line(0, ("Amount", "0.5")))));
        Assert.Contains("Dr mara signed a record begun from this form meanwhile", pressed);
        Assert.Contains($"href=\"{first}\"", pressed);
        Assert.Contains("0.5", pressed);
        var asked = await Text(await Post(mara, page, pressed, Form(Line(0, ("Amount", "0.5")))));
        Assert.Contains("Not signed: Dr mara signed a record of this patient since", asked);
        var second = await Post(mara, page, asked, Form(Line(0, ("Amount", "0.5"))));
        Assert.Equal(HttpStatusCode.Redirect, second.StatusCode);
        Assert.NotEqual(first, second.Headers.Location!.OriginalString);
        Assert.Equal([75, 50], await InDatabase(db => db.Treatments.OrderBy(t => t.Number).Select(t => t.Placements.Single().HundredthsMl!.Value).ToListAsync()));
    }

    [Fact]
    public async Task A_draft_left_under_a_signed_records_id_is_opened_as_another_record_and_says_so()
    {
        var html = await mara.GetStringAsync(page);
        await Post(mara, page + "?handler=Keep", html, Form(Line(0, ("Amount", "0.5"))));
        var draft = await InDatabase(db => db.TreatmentDrafts.AsNoTracking().SingleAsync());
        var first = (await Post(mara, page, html, Form(Line(0)))).Headers.Location!.OriginalString;
        draft.Id = Guid.CreateVersion7();
        await InDatabase(db => { db.Add(draft); return db.SaveChangesAsync(); });              // as a press in the same moment leaves it
        var opened = await mara.GetStringAsync(page);
        Assert.Contains("signed a record begun from this form meanwhile", opened);
        Assert.Contains("value=\"0.5\"", opened);
        Assert.DoesNotContain($"name=\"RecordId\" value=\"{first.Split('/')[^1]}\"", opened);
    }

    [Fact]
    public async Task Other_words_under_a_signed_records_id_are_not_taken_for_it_and_the_same_once_more_is()
    {
        var html = await mara.GetStringAsync(page);
        var first = await Post(mara, page, html, Form(Line(0), Drawn(0, "D-114", "1.5")));
        var again = await Post(mara, page, html, Form(Line(0), Drawn(0, "D-114", "1.5")));
        Assert.Equal(first.Headers.Location, again.Headers.Location);
        var told = await Text(await Post(mara, page, html, Form(Line(0, ("Amount", "0.5")), Drawn(0, "D-114", "1.5"))));
        Assert.Contains("Not signed: Dr mara signed a record", told);
        Assert.Contains("value=\"0.5\"", told);
        Assert.Contains("Not signed", await Text(await Post(mara, page, html, Form(Line(0), Drawn(0, "D-114", "1.6")))));
        Assert.Contains("Not signed", await Text(await Post(mara, page, html, [.. Form(Line(0), Drawn(0, "D-114", "1.5")), ("Events", "a bruise")])));
        Assert.Equal(1, await InDatabase(db => db.Treatments.CountAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(mara, page, told, Form(Line(0, ("Amount", "0.5")), Drawn(0, "D-114", "1.5")))).StatusCode);
        Assert.Equal(2, await InDatabase(db => db.Treatments.CountAsync()));
    }

    [Fact]
    public async Task Throwing_a_draft_away_asks_first_leaves_a_trace_and_can_be_undone()
    {
        var html = await mara.GetStringAsync(page);
        (string, string)[] typed = [.. Form(Line(0), Drawn(0, "D-114", "1.5")), ("Events", "a bruise at once")];
        Assert.DoesNotContain("Throw this draft away", html);
        Assert.Contains("Throw this draft away", await Text(await Post(mara, page + "?handler=Keep", html, typed)));
        var asked = await Text(await Post(mara, page + "?handler=Discard", html, typed));
        Assert.Contains("Throw this draft away?", asked);
        Assert.Contains("It holds 1 placement, 1 line drawn up, immediate events.", asked);
        Assert.Contains("a bruise at once</textarea>", asked);
        Assert.Contains("a bruise at once</textarea>", await Text(await mara.GetAsync(page)));       // asking has lost nothing

        // What is typed after the question goes with the draft.
        (string, string)[] last = [.. Form(Line(0), Drawn(0, "D-114", "1.5")), ("Events", "a bruise at once, gone after ten minutes")];
        await Post(mara, page + "?handler=Throw", asked, last);
        var empty = await Text(await mara.GetAsync(page));
        Assert.DoesNotContain("a bruise at once", empty);
        Assert.Contains("1 placement, 1 line drawn up, immediate events", empty);
        var jonas = await portal.SignedIn(clinic, "jonas");
        var others = await Text(await jonas.GetAsync(page));
        Assert.Contains("Dr mara, 14 May 2031, 05:00: 1 placement", others);
        Assert.DoesNotContain("Take it up again", others);

        var thrown = (await InDatabase(db => db.ThrownDrafts.SingleAsync())).Id.ToString();
        Assert.DoesNotContain("a bruise at once", await Text(await Post(jonas, page + "?handler=TakeUp", others, ("thrown", thrown))));
        await Post(mara, page + "?handler=TakeUp", empty, ("thrown", thrown));
        Assert.Contains("a bruise at once, gone after ten minutes</textarea>", await Text(await mara.GetAsync(page)));
        Assert.DoesNotContain("Drafts that were thrown away", await Text(await mara.GetAsync(page)));
    }

    [Fact]
    public async Task A_second_tap_on_throwing_away_or_taking_up_says_that_it_is_done_and_does_nothing_twice()
    {
        (string, string)[] typed = [.. Form(Line(0)), ("Events", "a bruise at once")];
        var asked = await Text(await Post(mara, page + "?handler=Discard", await mara.GetStringAsync(page), typed));
        var taps = await Task.WhenAll(Enumerable.Range(0, 4).Select(_ => Post(mara, page + "?handler=Throw", asked, typed)));
        Assert.Equal([HttpStatusCode.OK, HttpStatusCode.OK, HttpStatusCode.OK, HttpStatusCode.Redirect], taps.Select(t => t.StatusCode).Order());
        foreach (var late in taps.Where(t => t.StatusCode is HttpStatusCode.OK)) Assert.Contains("This draft is thrown away already", await Text(late));
        Assert.Equal((0, 1), (await InDatabase(db => db.TreatmentDrafts.CountAsync()), await InDatabase(db => db.ThrownDrafts.CountAsync())));

        var (begun, thrown) = (await mara.GetStringAsync(page), (await InDatabase(db => db.ThrownDrafts.SingleAsync())).Id.ToString());
        taps = await Task.WhenAll(Enumerable.Range(0, 4).Select(_ => Post(mara, page + "?handler=TakeUp", begun, ("thrown", thrown))));
        Assert.Equal([HttpStatusCode.OK, HttpStatusCode.OK, HttpStatusCode.OK, HttpStatusCode.Redirect], taps.Select(t => t.StatusCode).Order());
        foreach (var late in taps.Where(t => t.StatusCode is HttpStatusCode.OK))
        {
            Assert.Contains("This draft is taken up already", await Text(late));
            Assert.Contains("a bruise at once</textarea>", await Text(late));
        }

        Assert.Equal(1, await InDatabase(db => db.TreatmentDrafts.CountAsync()));
    }

    [Fact]
    public async Task A_form_sent_without_its_fields_throws_away_what_was_kept_and_not_nothing()
    {
        await Post(mara, page + "?handler=Keep", await mara.GetStringAsync(page), [.. Form(Line(0)), ("Events", "a bruise at once")]);
        await Post(mara, page + "?handler=Throw", await mara.GetStringAsync("/Staff/SignOut"));
        Assert.Contains("a bruise at once", await InDatabase(db => db.ThrownDrafts.Select(d => d.Form).SingleAsync()));
    }

    [Fact]
    public async Task A_thrown_draft_is_not_taken_up_over_another_one_begun_since()
    {
        await Post(mara, page + "?handler=Keep", await mara.GetStringAsync(page), [.. Form(Line(0)), ("Events", "the first")]);
        await Post(mara, page + "?handler=Throw", await mara.GetStringAsync(page));
        var begun = await mara.GetStringAsync(page);
        await Post(mara, page + "?handler=Keep", begun, [.. Form(Line(0)), ("Events", "the second")]);
        var told = await Text(await Post(mara, page + "?handler=TakeUp", await mara.GetStringAsync(page)));
        Assert.Contains("you have begun another draft", told);
        Assert.Contains("the second</textarea>", told);
    }

    [Fact]
    public async Task An_addendum_sent_twice_stands_once_and_another_one_from_the_same_form_is_not_taken_for_it()
    {
        var record = (await Send(mara, page, Form(Line(0)))).Headers.Location!.OriginalString;
        var html = await mara.GetStringAsync(record);
        (string, string)[] right = [("Text", "Misread."), ("Corrects", "1"), ("RightAmount", "0.5")];
        var both = await Task.WhenAll(Post(mara, record, html, right), Post(mara, record, html, right));
        Assert.All(both, b => Assert.Equal(HttpStatusCode.Redirect, b.StatusCode));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(mara, record, html, right)).StatusCode);
        Assert.Equal(1, await InDatabase(db => db.Addenda.CountAsync()));
        var told = await Text(await Post(mara, record, html, ("Text", "The left side swelled.")));
        Assert.Contains("Not added yet", told);
        Assert.Contains("The left side swelled.</textarea>", told);
        Assert.Equal(HttpStatusCode.Redirect, (await Post(mara, record, told, ("Text", "The left side swelled."))).StatusCode);
        Assert.Equal(2, await InDatabase(db => db.Addenda.CountAsync()));
    }

    [Fact]
    public async Task Of_two_who_sign_in_the_same_moment_one_is_told()
    {
        var jonas = await portal.SignedIn(clinic, "jonas");
        var (first, second) = (await mara.GetStringAsync(page), await jonas.GetStringAsync(page));
        var both = await Task.WhenAll(Post(mara, page, first, Form(Line(0))), Post(jonas, page, second, Form(Line(0))));
        Assert.Equal([HttpStatusCode.OK, HttpStatusCode.Redirect], both.Select(b => b.StatusCode).Order());
        Assert.Equal(1, await InDatabase(db => db.Treatments.CountAsync()));
    }

    [Fact]
    public async Task A_form_sent_after_the_session_ended_can_be_sent_again_with_everything_in_it()
    {
        var html = await mara.GetStringAsync(page);
        portal.Clock.Advance(TimeSpan.FromMinutes(20));
        var kept = await Post(mara, page, html, Form(Line(0, ("Device", "22 G \"cannula\" <script>"))));
        Assert.Equal(HttpStatusCode.Unauthorized, kept.StatusCode);
        var answer = await kept.Content.ReadAsStringAsync();
        Assert.DoesNotContain("<script", answer);
        Assert.Contains("22 G &quot;cannula&quot; &lt;script&gt;", answer);
        Assert.Equal(0, await InDatabase(db => db.Treatments.CountAsync()));

        var back = portal.Browser();
        Assert.Equal(HttpStatusCode.Redirect, (await Post(back, page, answer)).StatusCode);      // a browser nobody of staff has used: nothing is repeated to it
        await using var scope = portal.Parts.CreateAsyncScope();
        await portal.EnterPassword(mara, "mara");
        var person = await scope.ServiceProvider.GetRequiredService<Microsoft.AspNetCore.Identity.UserManager<Web.Features.Staff.StaffRow>>().FindByNameAsync("mara");
        await scope.ServiceProvider.GetRequiredService<Web.Features.Staff.StaffDoor>().ForgetKey(person!);
        await portal.EnterPassword(mara, "mara");
        var (_, enrolled) = await portal.Enrol(mara);
        Assert.Equal(HttpStatusCode.Redirect, enrolled.StatusCode);
        var signed = await Post(mara, page, answer);
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
        Assert.Equal("22 G \"cannula\" <script>", await InDatabase(db => db.Placements.Select(p => p.Device).SingleAsync()));
    }
}
