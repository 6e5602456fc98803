using System.Net;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Patients;

public sealed class Keeping_patients : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic;
    private Guid patient;

    public async Task InitializeAsync()
    {
        portal = await Open();
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    [Fact]
    public async Task Somebody_who_walks_in_is_added_and_found_by_part_of_the_name_or_the_number()
    {
        var saved = await Send(desk, "/Patients/Edit", ("Name", "Ångström, Ada"), ("Number", "(212) 555-0133"), ("Agreed", "true"));
        Assert.Equal(HttpStatusCode.Redirect, saved.StatusCode);
        foreach (var wanted in new[] { "ada", "0133", "555 0133" })
        {
            var html = WebUtility.HtmlDecode(await (await Send(desk, "/Patients", ("Wanted", wanted))).Content.ReadAsStringAsync());
            Assert.Contains("Ångström, Ada", html);
            Assert.DoesNotContain("Patient of Wrenfold", html);
        }

        Assert.Contains("Nobody found", await (await Send(desk, "/Patients", ("Wanted", "nobody at all"))).Content.ReadAsStringAsync());
    }

    [Theory]
    [InlineData("", "2125550133", "Write the name")]
    [InlineData("Ada", "1", "phone number")]
    [InlineData("Ada", "", "phone number")]
    public async Task An_entry_without_name_or_number_is_refused_and_stays_as_typed(string name, string number, string problem)
    {
        var html = await (await Send(desk, "/Patients/Edit", ("Name", name), ("Number", number))).Content.ReadAsStringAsync();
        Assert.Contains(problem, html);
        if (number.Length > 0) Assert.Contains($"name=\"Number\" value=\"{number}\"", html);
        Assert.Equal(1, await InDatabase(db => db.Patients.CountAsync()));
    }

    [Fact]
    public async Task Taking_back_the_agreement_ends_care_texts_and_how_it_stood_stays()
    {
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550133"), ("Agreed", "true"));
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550133"));
        Assert.Null(await InDatabase(db => db.Patients.Select(p => p.AgreedToTextsAt).SingleAsync()));
        Assert.Equal(2, await InDatabase(db => db.PatientChanges.CountAsync()));
        var html = await desk.GetStringAsync($"/Patients/Edit/{patient}");
        Assert.Contains("care texts agreed", html);
        Assert.Contains("Dr mara", html);
    }

    [Fact]
    public async Task An_older_page_does_not_give_back_an_agreement_that_was_taken_back_meanwhile()
    {
        var page = $"/Patients/Edit/{patient}";
        await Send(desk, page, ("Name", "Ada"), ("Number", "2125550133"), ("Agreed", "true"));
        var older = await desk.GetStringAsync(page);
        await Send(desk, page, ("Name", "Ada"), ("Number", "2125550133"));
        (string, string)[] typed = [("Name", "Ada Quill"), ("Number", "2125550133"), ("Agreed", "true")];
        var told = WebUtility.HtmlDecode(await (await Post(desk, page, older, typed)).Content.ReadAsStringAsync());
        Assert.Contains("changed since you opened it", told);
        Assert.Contains("It stands now as: Ada, +12125550133, no care texts", told);
        Assert.Contains("value=\"Ada Quill\"", told);
        Assert.Null(await InDatabase(db => db.Patients.Select(p => p.AgreedToTextsAt).SingleAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, page, told, typed)).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, page, told, typed)).StatusCode);                 // sent twice, changed once
        Assert.Equal(("Ada Quill", 3), (await InDatabase(db => db.Patients.Select(p => p.Name).SingleAsync()), await InDatabase(db => db.PatientChanges.CountAsync())));
    }

    [Fact]
    public async Task A_double_tap_changes_once_and_blames_nobody_and_keeping_without_a_change_leaves_no_trace()
    {
        var page = $"/Patients/Edit/{patient}";
        for (var round = 0; round < 4; round++)
        {
            var form = await desk.GetStringAsync(page);
            var taps = await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => Post(desk, page, form, ("Name", $"Ada {round}"), ("Number", "2125550133"))));
            Assert.All(taps, tap => Assert.Equal(HttpStatusCode.Redirect, tap.StatusCode));
            await Send(desk, page, ("Name", $"Ada {round}"), ("Number", "2125550133"));
            Assert.Equal(round + 1, await InDatabase(db => db.PatientChanges.CountAsync()));
        }
    }

    [Fact]
    public async Task A_double_tap_adds_somebody_new_once()
    {
        var form = await desk.GetStringAsync("/Patients/Edit");
        var taps = await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => Post(desk, "/Patients/Edit", form, ("Name", "Ada"), ("Number", "2125550133"))));
        Assert.Single(taps.Select(tap => tap.Headers.Location?.OriginalString).Distinct());
        Assert.Equal((2, 1), (await InDatabase(db => db.Patients.CountAsync()), await InDatabase(db => db.PatientChanges.CountAsync())));
        // Another person from the same form, gone back to, is another person.
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, "/Patients/Edit", form, ("Name", "Bea"), ("Number", "2125550134"))).StatusCode);
        Assert.Equal(["Ada", "Bea", "Patient of Wrenfold Clinic"], (await InDatabase(db => db.Patients.Select(p => p.Name).ToListAsync())).Order());
    }

    [Fact]
    public async Task Of_two_who_change_an_entry_in_the_same_moment_one_is_told()
    {
        var page = $"/Patients/Edit/{patient}";
        var jonas = await portal.SignedIn(clinic, "jonas");
        for (var round = 0; round < 6; round++)
        {
            var (mine, theirs) = (await desk.GetStringAsync(page), await jonas.GetStringAsync(page));
            var both = await Task.WhenAll(Post(desk, page, mine, ("Name", $"Ada {round}"), ("Number", "2125550133")), Post(jonas, page, theirs, ("Name", $"Quill {round}"), ("Number", "2125550133")));
            Assert.Equal([HttpStatusCode.OK, HttpStatusCode.Redirect], both.Select(b => b.StatusCode).Order());
            Assert.Equal(round + 1, await InDatabase(db => db.PatientChanges.CountAsync()));
        }
    }

    [Fact]
    public async Task Another_clinics_patient_is_not_found_and_not_changed()
    {
        var (other, theirs) = await portal.Clinic("Another invented clinic", 1);
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync($"/Patients/Edit/{theirs}")).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await Post(desk, $"/Patients/Edit/{theirs}", await desk.GetStringAsync("/Patients/Edit"), ("Name", "Taken"), ("Number", "2125550133"))).StatusCode);
        Assert.DoesNotContain("Another invented", await desk.GetStringAsync("/Patients"));
        Assert.NotEqual(clinic, other);
    }

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }
}
