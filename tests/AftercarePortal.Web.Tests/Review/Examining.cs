using System.Net;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Tests.Outcomes;
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
        async Task<double> Width(QuoteStage stage) => (await course.Person.InClinic(db => db.LatestQuoteOf(course.IntakeId, stage, default)))!.Forecasts()[^1] is var f ? Math.Log(f.Upper / f.Lower) : 0;
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
        var later = await course.Person.InClinic(db => db.LatestQuoteOf(course.IntakeId, QuoteStage.Examined, default));
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
    public async Task Angles_that_are_odd_together_give_a_range_that_says_to_measure_again()
    {
        await course.Examined(("LeftAngle", "95"), ("RightAngle", "150"));
        Assert.Contains("Measure again before this range is relied on", await desk.GetStringAsync(Page), StringComparison.Ordinal);
    }
}
