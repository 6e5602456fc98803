using System.Net;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Tests.Outcomes;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Review;

/// <summary>Two who treat: one uses three times what the other does. What they signed is learned, then somebody new is examined.</summary>
public sealed class Range_of_who_is_to_treat : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient generous = null!, sparing = null!;
    private Course_of course = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        generous = await portal.SignedIn(clinic, "ines", StaffRole.PracticeLead);
        sparing = await portal.SignedIn(clinic, "mara");
        for (var i = 0; i < 6; i++)
        {
            var past = new Course_of(portal, clinic, sparing, $"Person {(char)('A' + i)}", i);
            await past.Quoted(["jaw-body"]);
            await past.Invited();
            var each = i % 2 == 0 ? 0.30 : 0.90;
            await past.Treated(i % 2 == 0 ? sparing : generous, "CaHA filler", ("JawBody", "Left", each), ("JawBody", "Right", each));
            await past.Person.RunDueJobs();
        }

        course = new(portal, clinic, sparing, "Ada Quill", 9);
        await course.Quoted(["jaw-body"]);
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<QuoteRow> Examined(string who)
    {
        Assert.Equal(HttpStatusCode.Redirect, (await course.Examined(("Laxity", "mild"), ("Injector", who))).StatusCode);
        return (await course.Person.InClinic(db => db.RangeAfterExamination(course.IntakeId, default)))!;
    }

    [Fact]
    public async Task Follows_what_that_person_has_used_drawn_to_the_clinic_and_says_so()
    {
        var open = await Examined("");
        var (more, less) = (await Examined("Dr ines"), await Examined("Dr mara"));
        double Middle(QuoteRow quote) => quote.Forecasts()[^1].Median;
        Assert.True(Middle(less) < 0.95 * Middle(open) && Middle(more) > 1.05 * Middle(open), $"{Middle(less)} {Middle(open)} {Middle(more)}");
        // Three cases each do not yet pull two people as far apart as their amounts lie.
        Assert.True(Middle(more) / Middle(less) < 2);
        var model = AftercarePortal.Web.ContentFiles.ContentLibrary.Load(AftercarePortal.Web.ContentFiles.ContentLibrary.Folder).Pricing;
        Assert.Contains(model.Words.Notes["named-injector"], more.ShownRange().Notes);
        Assert.DoesNotContain(model.Words.Notes["named-injector"], open.ShownRange().Notes);
        Assert.Contains("for Dr ines to treat", await sparing.GetStringAsync($"/Review/Quote/{more.Id}"), StringComparison.Ordinal);
        Assert.Contains("for whoever treats", await sparing.GetStringAsync($"/Review/Quote/{open.Id}"), StringComparison.Ordinal);
        await course.Invited();
        Assert.Contains(model.Words.Notes["named-injector"], WebUtility.HtmlDecode(await course.Person.Show(course.Person.Link)), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Who_never_treated_here_makes_it_wider_and_it_says_so()
    {
        await portal.SignedIn(clinic, "otto");
        double Ratio(QuoteRow quote) => quote.Forecasts()[^1] is var f ? f.Upper / f.Lower : 0;
        var (known, newcomer) = (await Examined("Dr mara"), await Examined("Dr otto"));
        Assert.True(Ratio(newcomer) > Ratio(known));
        Assert.Contains(newcomer.ShownRange().Notes, n => n.Contains("few or no completed treatments", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Is_named_and_changed_on_its_own_before_and_after_an_examination()
    {
        // Nothing was judged: who it is is kept, and no range says that it stands after an examination.
        Assert.Equal(HttpStatusCode.Redirect, (await course.Examined(("Injector", "Dr mara"))).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await course.Examined(("Injector", "Dr ines"))).StatusCode);
        Assert.Null(await course.Person.InClinic(db => db.RangeAfterExamination(course.IntakeId, default)));
        Assert.Contains("Nothing was judged yet", await (await course.Examined(("Injector", "Dr ines"))).Content.ReadAsStringAsync(), StringComparison.Ordinal);
        var page = $"/Review/Examine/{course.IntakeId}";
        Assert.Contains("only Dr ines is to treat", await sparing.GetStringAsync(page), StringComparison.Ordinal);

        var (more, less) = (await Examined("Dr ines"), await Examined("Dr mara"));
        Assert.True(less.Forecasts()[^1].Median < more.Forecasts()[^1].Median);
        var shown = await sparing.GetStringAsync(page);
        Assert.Contains("examined; Dr ines is to treat", shown, StringComparison.Ordinal);
        Assert.Contains("only Dr mara is to treat", shown, StringComparison.Ordinal);
        Assert.Contains("Nothing was judged yet", await (await course.Examined(("Injector", "Dr ines"))).Content.ReadAsStringAsync(), StringComparison.Ordinal);      // findings are not dropped by naming
    }

    [Fact]
    public async Task Somebody_let_go_does_not_fall_out_silently_and_another_is_asked_for()
    {
        await Examined("Dr mara");
        await portal.SignedIn(clinic, "otto");
        var mara = await course.Person.InClinic(db => db.StaffOfClinic.Where(s => s.UserName == "mara").Select(s => s.Id).SingleAsync());
        await portal.ChangeAccount(generous, "ines", mara, "LetGo");
        foreach (var page in new[] { $"/Review/Examine/{course.IntakeId}", $"/Review/{course.IntakeId}" })
        {
            var html = WebUtility.HtmlDecode(await generous.GetStringAsync(page));
            Assert.Contains("Was to be treated by <strong>Dr mara</strong>, who no longer works here", html, StringComparison.Ordinal);
        }

        Assert.Equal(HttpStatusCode.Redirect, (await Portal_with_staff.Send(generous, $"/Review/Examine/{course.IntakeId}", ("Form.Laxity", "mild"), ("Form.Injector", "Dr otto"))).StatusCode);
        Assert.DoesNotContain("no longer works here", await generous.GetStringAsync($"/Review/{course.IntakeId}"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Somebody_who_does_not_work_here_is_refused_and_what_was_typed_stays()
    {
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        await portal.SignedIn(other, "nell");
        var refused = await course.Examined(("Laxity", "moderate"), ("Injector", "Dr nell"));
        var page = await refused.Content.ReadAsStringAsync();
        Assert.Contains("Choose who is to treat from those who work here", page, StringComparison.Ordinal);
        Assert.Contains("<option value=\"moderate\" selected", page, StringComparison.Ordinal);
        Assert.Equal(0, await course.Person.InClinic(db => db.Examinations.CountAsync()));
    }
}
