using System.Net;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.Outcomes;

public sealed class Learning_from_records : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, walkIn;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        (clinic, walkIn) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<(Course_of Course, string Record)> Treated(string name, int line, double each)
    {
        var course = new Course_of(portal, clinic, desk, name, line);
        await course.Quoted(["jaw-body"]);
        await course.Invited();
        return (course, await course.JawTreated(each));
    }

    [Fact]
    public async Task A_signed_record_teaches_the_next_range_and_each_quote_names_the_figures_it_was_made_with()
    {
        var (first, _) = await Treated("Ada Quill", 1, 1.20);
        await first.Person.RunDueJobs();
        var figures = await first.Person.InClinic(db => db.ClinicFigures.SingleAsync());
        Assert.Equal((1, 1, 1, "lower-face-model.v1"), (figures.Number, figures.Cases, figures.WithoutExam, figures.Model));
        Assert.True(figures.Figures().MeanOf("level") > 0.05);

        var next = new Course_of(portal, clinic, desk, "Bo Fenn", 2);
        Assert.Contains("1 finished case", await next.Quoted(["jaw-body"]), StringComparison.Ordinal);
        var quotes = await first.Person.InClinic(db => db.Quotes.OrderBy(q => q.MadeAt).ThenBy(q => q.Id).ToListAsync());
        Assert.Equal([0, 1], quotes.Select(q => q.Figures));
        Assert.True(quotes[1].Forecasts()[^1].Median > 1.1 * quotes[0].Forecasts()[^1].Median);
        Assert.True(quotes[1].ShownRange().Quantile(0.9) >= quotes[0].ShownRange().Quantile(0.9));
    }

    [Fact]
    public async Task The_job_run_twice_and_a_lead_who_asks_again_learn_once()
    {
        var (course, _) = await Treated("Ada Quill", 1, 0.60);
        await course.Person.RunDueJobs();
        await course.Person.InClinic(async db =>
        {
            db.Enqueue(SignRecord.LearnFigures, "again", Instant(db));
            return await db.SaveChangesAsync();
        });
        await course.Person.RunDueJobs();
        Assert.Equal(1, await course.Person.InClinic(db => db.ClinicFigures.CountAsync()));
    }

    [Fact]
    public async Task Of_many_askings_that_wait_the_last_one_learns()
    {
        var (course, _) = await Treated("Ada Quill", 1, 0.60);
        await Treated("Bo Fenn", 2, 0.60);
        var runner = portal.Parts.GetRequiredService<JobRunner>();
        var learned = new List<int>();
        while (learned.Count < 2)
        {
            var isLearning = false;
            Assert.True(await runner.RunNext(job => isLearning = job.Kind == SignRecord.LearnFigures, CancellationToken.None));
            if (isLearning) learned.Add(await course.Person.InClinic(db => db.ClinicFigures.CountAsync()));
        }

        Assert.Equal([0, 1], learned);
        Assert.Equal(2, await course.Person.InClinic(db => db.ClinicFigures.Select(f => f.Cases).SingleAsync()));
    }

    private NodaTime.Instant Instant(AftercarePortal.Web.Data.PortalDb _) => NodaTime.Instant.FromDateTimeOffset(portal.Clock.GetUtcNow());

    [Fact]
    public async Task An_amount_put_right_by_an_addendum_is_learned_instead_and_both_stand_in_the_record()
    {
        var (course, record) = await Treated("Ada Quill", 1, 3.00);
        await course.Person.RunDueJobs();
        foreach (var ordinal in new[] { "1", "2" })
            Assert.Equal(HttpStatusCode.Redirect, (await Portal_with_staff.Send(desk, record, ("Text", "A slip of the pen."), ("Corrects", ordinal), ("RightAmount", "0,30"))).StatusCode);
        await course.Person.RunDueJobs();
        var page = WebUtility.HtmlDecode(await desk.GetStringAsync(record));
        Assert.Contains("3.00 mL", page, StringComparison.Ordinal);
        Assert.Contains("put right by an addendum: 0.30 mL", page, StringComparison.Ordinal);
        Assert.Contains("Placement 1, jaw body, left: 3.00 mL should read 0.30 mL.", page, StringComparison.Ordinal);
        var versions = await course.Person.InClinic(db => db.ClinicFigures.OrderBy(f => f.Number).ToListAsync());
        Assert.Equal([1, 2], versions.Select(v => v.Number));
        Assert.True(versions[0].Figures().MeanOf("level") > 0.3);
        Assert.True(versions[1].Figures().MeanOf("level") < 0);
    }

    [Theory]
    [InlineData("1", "")]
    [InlineData("1", "0.305")]
    [InlineData("1", "20.01")]
    [InlineData("1", "much")]
    [InlineData("", "0.30")]
    public async Task A_correction_without_a_placement_or_a_usable_amount_is_refused_and_changes_nothing(string ordinal, string amount)
    {
        var (course, record) = await Treated("Ada Quill", 1, 0.60);
        var refused = await Portal_with_staff.Send(desk, record, ("Text", "A slip."), ("Corrects", ordinal), ("RightAmount", amount));
        Assert.Contains("choose the placement and give", await refused.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal(0, await course.Person.InClinic(db => db.Addenda.CountAsync()));
    }

    [Fact]
    public async Task A_record_of_somebody_who_came_without_an_intake_teaches_nothing()
    {
        var course = new Course_of(portal, clinic, desk, "Nobody", 9);
        var today = "2031-05-14";
        await Portal_with_staff.Send(desk, $"/Treatment/Record/{walkIn}",
            ("TreatedOn", today), ("NoConsent", "OnPaper"), ("Lines[0].Region", "JawBody"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo"), ("Lines[0].Lot", "D-7"),
            ("Lines[0].Expiry", "2039-01-31"), ("Lines[0].Amount", "0.50"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "22 G"));
        Assert.Equal(1, await course.Person.InClinic(db => db.Treatments.CountAsync()));
        await course.Person.RunDueJobs();
        Assert.Equal(0, await course.Person.InClinic(db => db.ClinicFigures.CountAsync()));
    }

    [Fact]
    public async Task A_quote_holds_its_inputs_and_comes_out_the_same_when_it_is_worked_out_again()
    {
        var course = new Course_of(portal, clinic, desk, "Ada Quill", 1);
        await course.Quoted(["jaw-body", "chin"], "ha-filler");
        var quote = await course.Person.InClinic(db => db.Quotes.SingleAsync());
        var (inputs, content) = (QuoteInputs.FromJson(quote.Inputs), AftercarePortal.Web.ContentFiles.ContentLibrary.Load(AftercarePortal.Web.ContentFiles.ContentLibrary.Folder));
        var answers = inputs.Given();
        var again = Assert.IsType<PriceOutcome.Known>(content.Pricing.RangeFor(Wishes.From(answers, inputs.Day()), answers, content.PriceLists[quote.Prices], content.Pricing.ColdStart()));
        var then = quote.ShownRange();
        Assert.Equal(then.Chances, again.Range.Chances);
        Assert.Equal((then.Central, then.AtMost), (again.Range.Central, again.Range.AtMost));
        Assert.Equal(["jaw-body", "chin", "all"], quote.Forecasts().Select(f => f.Region));
        Assert.All(quote.Forecasts(), f => Assert.True(f.Lower < f.Median && f.Median < f.Upper && Math.Abs(f.Below(f.Median) - 0.5) < 0.01));
    }
}
