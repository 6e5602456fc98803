using System.Net;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Tests.Outcomes;
using AftercarePortal.Web.Tests.Photos;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Review;

public sealed class Examining : IAsyncLifetime
{
    private static readonly (string, string)[] Found = [("Laxity", "mild"), ("Bone", "full support"), ("LeftAngle", "121.5"), ("RightAngle", "123,0"), ("EarlierProduct", "none"), ("Resistance", "some")];
    private static readonly (string, string)[] Soft = [("Laxity", "mild"), ("Bone", "full support"), ("LeftAngle", "121.5"), ("RightAngle", "123.0"), ("EarlierProduct", "none")];
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Course_of course = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        course = new(portal, clinic, desk, "Ada Quill", 1);
        await course.Quoted(["jaw-body", "jaw-angle"]);
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private string Page => $"/Review/Examine/{course.IntakeId}";

    [Fact]
    public async Task What_was_found_is_kept_with_a_second_range_beside_the_first_which_stays()
    {
        Assert.Contains("An examination by a clinician would settle about", await desk.GetStringAsync(Page), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await course.Examined(Found)).StatusCode);
        var examination = await course.Person.InClinic(db => db.Examinations.SingleAsync());
        Assert.Equal((1, 0, null, 1215, 1230, false, 1), (examination.Laxity, examination.Bone, examination.SideDifference, examination.LeftTenths, examination.RightTenths, examination.EarlierProduct, examination.Resistance));
        var quotes = await course.Person.InClinic(db => db.Quotes.OrderBy(q => q.Stage).ToListAsync());
        Assert.Equal([QuoteStage.Answers, QuoteStage.Examined], quotes.Select(q => q.Stage));
        Assert.Equal(examination.Id, quotes[1].ExaminationId);
        Assert.Equal(examination.Findings(), QuoteInputs.FromJson(quotes[1].Inputs).Exam);
        var (before, after) = (quotes[0].Forecasts()[^1], quotes[1].Forecasts()[^1]);
        Assert.NotEqual(before.Ml, after.Ml);
        var shown = WebUtility.HtmlDecode(await desk.GetStringAsync(Page));
        Assert.Contains("After the examination", shown, StringComparison.Ordinal);
        Assert.Contains("Before the examination", shown, StringComparison.Ordinal);
        foreach (var quote in quotes) Assert.Contains(quote.ShownRange().Central.ToString(), shown, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_is_known_narrows_the_amounts_and_resistance_that_is_expected_widens_them()
    {
        async Task<double> Width(QuoteStage stage) => (await course.Person.InClinic(db => stage == QuoteStage.Answers ? db.FirstRangeOf(course.IntakeId, default) : db.RangeAfterExamination(course.IntakeId, default)))!.Forecasts()[^1] is var f ? Math.Log(f.Upper / f.Lower) : 0;
        await course.Examined(Soft);
        var narrower = await Width(QuoteStage.Examined);
        Assert.True(narrower < await Width(QuoteStage.Answers));
        await course.Examined([.. Soft, ("Resistance", "much")]);
        Assert.True(await Width(QuoteStage.Examined) > narrower);
    }

    [Fact]
    public async Task The_person_sees_both_ranges_once_she_is_invited_and_not_before()
    {
        await course.Examined(Found);
        Assert.DoesNotContain("After the examination", await course.Person.Show(course.Person.Link), StringComparison.Ordinal);
        await course.Invited();
        var mine = await course.Person.Show(course.Person.Link);
        Assert.Contains("After the examination", mine, StringComparison.Ordinal);
        Assert.Contains("Before the examination", mine, StringComparison.Ordinal);
        await course.Examined(("Laxity", "marked"));
        var later = await course.Person.InClinic(db => db.RangeAfterExamination(course.IntakeId, default));
        Assert.Contains(later!.ShownRange().Central.ToString(), await course.Person.Show(course.Person.Link), StringComparison.Ordinal);
        await Portal_with_staff.Send(desk, $"/Review/{course.IntakeId}", ("Choice", "Declined"), ("Reason", "Changed"), ("Words", "We are sorry."));
        Assert.DoesNotContain("After the examination", await course.Person.Show(course.Person.Link), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "", "", "Nothing was judged yet")]
    [InlineData("mild", "12", "", "Gonial angle, left: give 80 to 170 degrees")]
    [InlineData("mild", "", "1e3", "Gonial angle, right: give 80 to 170 degrees")]
    public async Task Absurd_or_missing_findings_are_refused_with_their_name_and_nothing_is_kept(string laxity, string left, string right, string reason)
    {
        var refused = await course.Examined(("Laxity", laxity), ("LeftAngle", left), ("RightAngle", right));
        var html = await refused.Content.ReadAsStringAsync();
        Assert.Contains(reason, html, StringComparison.Ordinal);
        Assert.Contains($"value=\"{left}\"", html, StringComparison.Ordinal);
        Assert.Equal(0, await course.Person.InClinic(db => db.Examinations.CountAsync()));
    }

    [Fact]
    public async Task Of_two_who_examine_at_once_one_is_told()
    {
        var other = await portal.SignedIn(clinic, "ines");
        var (mine, theirs) = (await desk.GetStringAsync(Page), await other.GetStringAsync(Page));
        var answers = await Task.WhenAll(
            Portal_with_staff.Post(desk, Page, mine, ("Form.Laxity", "mild")), Portal_with_staff.Post(other, Page, theirs, ("Form.Laxity", "marked")));
        var late = Assert.Single(answers, a => a.StatusCode is HttpStatusCode.OK);
        Assert.Contains("examined, or named who is to treat, meanwhile", await late.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal(1, await course.Person.InClinic(db => db.Examinations.CountAsync()));
    }

    [Fact]
    public async Task Another_clinics_intake_is_not_found()
    {
        var (elsewhere, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(elsewhere, "otto");
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(Page)).StatusCode);
    }

    [Fact]
    public async Task An_examination_after_which_no_range_can_be_said_leaves_none_of_an_earlier_one_standing_as_after_the_examination()
    {
        await course.Examined(Found);
        await course.Invited();
        Assert.Contains("After the examination", await course.Person.Show(course.Person.Link), StringComparison.Ordinal);
        await course.Person.InClinic(db => db.Clinics.Where(c => c.Id == clinic).ExecuteUpdateAsync(s => s.SetProperty(c => c.PriceList, (string?)null)));
        Assert.Equal(HttpStatusCode.Redirect, (await course.Examined(("Laxity", "marked"))).StatusCode);

        Assert.DoesNotContain("After the examination", await course.Person.Show(course.Person.Link), StringComparison.Ordinal);
        var (examined, review) = (WebUtility.HtmlDecode(await desk.GetStringAsync(Page)), WebUtility.HtmlDecode(await desk.GetStringAsync($"/Review/{course.IntakeId}")));
        Assert.Contains("After this examination no range can be said, because the clinic has not set its prices.", examined, StringComparison.Ordinal);
        foreach (var shown in new[] { examined, review }) Assert.DoesNotContain("Before the examination", shown, StringComparison.Ordinal);
        Assert.Contains("from the answers alone: none can be said after the examination", review, StringComparison.Ordinal);
        await Portal_with_staff.Send(desk, $"/Review/{course.IntakeId}", ("Choice", "Accepted"), ("Reason", "Again"), ("Words", "Please come again."));
        Assert.DoesNotContain("After the examination", await course.Person.Show(course.Person.Link), StringComparison.Ordinal);
        Assert.Equal(1, await course.Person.InClinic(db => db.Quotes.CountAsync(q => q.Stage == QuoteStage.Examined)));   // looking adds none
    }

    [Fact]
    public async Task Angles_of_measured_photos_enter_the_range_with_the_error_of_placing_their_points_and_others_without()
    {
        await course.Invited();
        foreach (var view in new[] { "Left", "Right" })
        {
            var measure = (await Measuring_on_photos.Upload(desk, course.PatientId, Drawn.Jpeg(), view)).Headers.Location!.OriginalString;
            await Portal_with_staff.Send(desk, measure, ("X.Tragus", "1"), ("Y.Tragus", "1"), ("X.Gonion", "1"), ("Y.Gonion", "13"), ("X.Menton", "15"), ("Y.Menton", "13"));
        }

        await course.Examined(("LeftAngle", "90"), ("RightAngle", "90.0"));
        await course.Examined(("LeftAngle", "90"), ("RightAngle", "91"));               // never less than it was while one of them stays
        await course.Examined(("LeftAngle", "92"), ("RightAngle", "92"));
        var placed = await course.Person.InClinic(db => db.Examinations.OrderBy(e => e.Number).Select(e => e.PlacedSdTenths).ToListAsync());
        var ofOne = ProfileMeasures.Of(new Dictionary<Landmark, Spot> { [Landmark.Tragus] = new(1, 1), [Landmark.Gonion] = new(1, 13), [Landmark.Menton] = new(15, 13) }, null)
            .Single(m => m.Measure is ProfileMeasure.GonialAngle).Sd;
        var both = (int)Math.Ceiling(10 * Math.Sqrt(2) * ofOne);
        Assert.Equal([both, both, 0], placed);
        var kept = await course.Person.InClinic(db => db.Quotes.Where(q => q.Stage == QuoteStage.Examined).OrderBy(q => q.MadeAt).ThenBy(q => q.Id).Select(q => q.Inputs).ToListAsync());
        Assert.Equal(placed.Select(tenths => tenths / 10.0).Order(), kept.Select(inputs => QuoteInputs.FromJson(inputs).Exam!.PlacedSd).Order());
    }

    [Fact]
    public async Task Angles_that_are_odd_together_give_a_range_that_says_to_measure_again()
    {
        await course.Examined(("LeftAngle", "95"), ("RightAngle", "150"));
        Assert.Contains("Measure again before this range is relied on", await desk.GetStringAsync(Page), StringComparison.Ordinal);
    }
}
