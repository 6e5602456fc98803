using System.Net;
using System.Text.Json;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime.Extensions;
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

    [Fact]
    public async Task Two_of_one_name_are_told_apart_by_the_end_of_their_numbers_wherever_one_is_chosen()
    {
        foreach (var (name, number) in new[] { ("Ann Lee", "2125550133"), ("ann lee", "2125550134"), ("Bo Ek", "2125550135") }) await Send(desk, "/Patients/Edit", ("Name", name), ("Number", number), ("Agreed", "true"));
        var html = await desk.GetStringAsync("/Treatment/Record");
        Assert.Contains(">Ann Lee (number ends 0133)</a>", html);
        Assert.Contains("aria-label=\"Plan for ann lee (number ends 0134)\"", html);
        Assert.Contains(">Bo Ek</a>", html);
    }

    [Theory]
    [InlineData("", "2125550133", "Write the name")]
    [InlineData("Ada", "1", "phone number")]
    [InlineData("Ada", "", "phone number")]
    [InlineData("Ada", "555-0133", "phone number")]
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
        Assert.Equal(3, await InDatabase(db => db.PatientChanges.CountAsync()));        // also how it stood before anybody changed it
        var html = await desk.GetStringAsync($"/Patients/Edit/{patient}");
        Assert.Contains("care texts agreed", html);
        Assert.Contains("Dr mara", html);
        Assert.Contains("as it stood until then: Patient of Wrenfold Clinic, &#x2B;12125550150", html);
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
        Assert.Contains("It stands now as: Ada, +12125550133, no care texts, no date of birth, in English", told);
        Assert.Contains("value=\"Ada Quill\"", told);
        Assert.Null(await InDatabase(db => db.Patients.Select(p => p.AgreedToTextsAt).SingleAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, page, told, typed)).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, page, told, typed)).StatusCode);                 // sent twice, changed once
        Assert.Equal(("Ada Quill", 4), (await InDatabase(db => db.Patients.Select(p => p.Name).SingleAsync()), await InDatabase(db => db.PatientChanges.CountAsync())));
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
            Assert.Equal(round + 2, await InDatabase(db => db.PatientChanges.CountAsync()));
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
            Assert.Equal(round + 2, await InDatabase(db => db.PatientChanges.CountAsync()));
        }
    }

    [Fact]
    public async Task A_date_of_birth_is_kept_left_when_empty_and_refused_when_it_is_none()
    {
        var read = await (await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550133"), ("Born", "2990-01-01"))).Content.ReadAsStringAsync();
        Assert.Contains("Write the date of birth", read);
        Assert.Contains("value=\"2990-01-01\"", read);
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550133"), ("Born", "1990-05-03"));
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada L"), ("Number", "2125550133"), ("Born", ""));
        Assert.Equal(new NodaTime.LocalDate(1990, 5, 3), await InDatabase(db => db.Patients.Select(p => p.BornOn).SingleAsync()));
        Assert.Contains("born 3 May 1990", await desk.GetStringAsync($"/Patients/Edit/{patient}"));
    }

    [Fact]
    public async Task Whoever_would_overwrite_a_date_of_birth_put_right_meanwhile_is_shown_it()
    {
        var page = $"/Patients/Edit/{patient}";
        var older = await desk.GetStringAsync(page);
        await Send(desk, page, ("Name", "Ada"), ("Number", "2125550133"), ("Born", "1991-05-03"));
        var told = WebUtility.HtmlDecode(await (await Post(desk, page, older, ("Name", "Ada"), ("Number", "2125550133"), ("Born", "1990-05-03"))).Content.ReadAsStringAsync());
        Assert.Contains("It stands now as: Ada, +12125550133, no care texts, born 3 May 1991, in English", told);
    }

    [Fact]
    public async Task Born_on_29_February_somebody_is_of_age_on_1_March_here_as_in_the_intake()
    {
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550133"), ("Born", "2012-02-29"));
        var ada = await InDatabase(db => db.Patients.SingleAsync());
        Assert.Equal((true, false), (ada.IsMinorOn(new(2030, 2, 28)), ada.IsMinorOn(new(2030, 3, 1))));
        Assert.Equal(new(2030, 3, 1), AftercarePortal.Clinical.Candidacy.Earliest.Birthday(ada.BornOn!.Value, 18));
    }

    [Theory]
    [InlineData("07700 900123")]
    [InlineData("0044 7700 900123")]
    [InlineData("+44 (0)7700 900123")]
    [InlineData("0770 0900")]
    public async Task A_number_is_found_as_people_of_the_country_say_it(string wanted)
    {
        await InDatabase(db => db.Clinics.ExecuteUpdateAsync(set => set.SetProperty(c => c.PatientNumber, "+447700900999")));
        await Send(desk, "/Patients/Edit", ("Name", "Bea"), ("Number", "07700 900123"));
        foreach (var (page, handler) in new[] { ("/Patients", ""), ("/Treatment/Record", "?handler=Find") })
        {
            var found = await (await Post(desk, page + handler, await desk.GetStringAsync(page), ("Wanted", wanted))).Content.ReadAsStringAsync();
            Assert.Contains(">Bea</a>", found);
            Assert.DoesNotContain("Patient of Wrenfold", found);
        }
    }

    [Fact]
    public async Task A_second_entry_with_a_known_number_is_kept_and_names_the_first()
    {
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550133"));
        var saved = await Send(desk, "/Patients/Edit", ("Name", "Bea"), ("Number", "(212) 555-0133"));
        var page = await desk.GetStringAsync(saved.Headers.Location);
        Assert.Contains($"This number is also that of <a href=\"/Patients/{patient}\">Ada</a>.", page);
        await Send(desk, saved.Headers.Location!.OriginalString, ("Name", "Bea"), ("Number", "2125550134"));
        Assert.DoesNotContain("This number is also", await desk.GetStringAsync(saved.Headers.Location));
    }

    [Fact]
    public async Task Of_many_patients_the_first_fifty_are_listed_to_record_for_and_the_others_are_found()
    {
        await InDatabase(async db =>
        {
            for (var i = 0; i < 60; i++) db.Add(new PatientRow { Name = $"Ann {i:00}", Number = $"+121255501{i:00}" });
            return await db.SaveChangesAsync();
        });
        var first = await desk.GetStringAsync("/Treatment/Record");
        Assert.Equal(50, System.Text.RegularExpressions.Regex.Count(first, "photos to measure on</a>"));
        Assert.Contains("There are more", first);
        Assert.DoesNotContain(">Ann 57</a>", first);
        var found = await (await Post(desk, "/Treatment/Record?handler=Find", first, ("Wanted", "ann 57"))).Content.ReadAsStringAsync();
        Assert.Contains(">Ann 57</a>", found);
        Assert.DoesNotContain(">Ann 00</a>", found);
        Assert.Contains("Nobody found.", await (await Post(desk, "/Treatment/Record?handler=Find", first, ("Wanted", "nobody at all"))).Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task A_report_that_took_a_turn_in_the_same_moment_keeps_no_number_from_being_put_right()
    {
        var (now, report) = (portal.Clock.GetCurrentInstant(), Guid.NewGuid());
        await InDatabase(async db =>
        {
            db.Add(new EscalationRow { Id = report, ClinicId = clinic, PatientId = patient, Number = "+12125550150", Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = now, WrittenAt = now, OpenKey = "+12125550150" });
            return await db.SaveChangesAsync();
        });
        var outcome = await InDatabase(async db =>
        {
            var ada = await db.Patients.AsNoTracking().SingleAsync();
            var save = new SavePatient(db, new TakesATurn(new ReportsGoAlong(db), () => InDatabase(other => other.Escalations.ExecuteUpdateAsync(set => set.SetProperty(e => e.Turn, e => e.Turn + 1)))), portal.Clock);
            return await save.Run(patient, default, ada.Mark(), ada.Name, "+12125550134", false, "en", "Dr mara", default);
        });
        Assert.IsType<SavePatient.Outcome.Saved>(outcome);
        Assert.Equal("+12125550134", await InDatabase(db => db.Patients.Select(p => p.Number).SingleAsync()));
        Assert.Equal(("+12125550134", 1), await InDatabase(async db => (await db.Escalations.Select(e => e.Number).SingleAsync(), await db.Set<EscalationEventRow>().CountAsync(e => e.What == EscalationEvent.NumberChanged))));
    }

    // Between what is read of the report and the save, once, somebody else does something to it.
    private sealed class TakesATurn(IAnotherNumber real, Func<Task> meanwhile) : IAnotherNumber
    {
        private bool _taken;

        public Task<bool> HasStopped(string number, CancellationToken stop) => real.HasStopped(number, stop);

        public async Task TakeAlong(PatientRow patient, string reached, NodaTime.Instant now, CancellationToken stop)
        {
            await real.TakeAlong(patient, reached, now, stop);
            if (_taken) return;
            _taken = true;
            await meanwhile();
        }
    }

    [Fact]
    public async Task Another_number_asks_anew_whether_texts_may_go_to_it_and_says_that_STOP_was_sent()
    {
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550133"), ("Agreed", "true"));
        await InDatabase(async db =>
        {
            db.Add(new OptOutRow { ClinicId = clinic, Number = "+12125550133", MessageId = Guid.NewGuid(), Stopped = true, At = portal.Clock.GetCurrentInstant() });
            return await db.SaveChangesAsync();
        });
        var asked = WebUtility.HtmlDecode(await (await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550134"), ("Agreed", "true"))).Content.ReadAsStringAsync());
        Assert.Contains("Ask whether care texts may go to it", asked);
        Assert.Contains("STOP was sent, or that it is somebody else", asked);
        Assert.Contains("name=\"Number\" value=\"2125550134\"", asked);
        Assert.DoesNotContain("value=\"true\" checked", asked);
        Assert.Equal("+12125550133", await InDatabase(db => db.Patients.Select(p => p.Number).SingleAsync()));

        Assert.Equal(HttpStatusCode.Redirect, (await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550134"), ("Agreed", "true"), ("AgreedFor", "+12125550134"))).StatusCode);
        Assert.NotNull(await InDatabase(db => db.Patients.Where(p => p.Number == "+12125550134").Select(p => p.AgreedToTextsAt).SingleAsync()));
    }

    [Fact]
    public async Task An_open_report_goes_on_under_the_new_number_and_says_which_number_wrote()
    {
        var (now, report) = (portal.Clock.GetCurrentInstant(), Guid.NewGuid());
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550133"));
        await InDatabase(async db =>
        {
            var message = new MessageRow { ClinicId = clinic, CarrierId = "SM1", From = "+12125550133", To = "+12125550111", Text = "my skin is white", MediaCount = 0, RawForm = "", ReceivedAt = now, WrittenAt = now };
            db.Add(message);
            db.Add(new EscalationRow { Id = report, ClinicId = clinic, PatientId = patient, Number = "+12125550133", Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = now, WrittenAt = now, OpenKey = "+12125550133" });
            db.Add(new ReadingRow { ClinicId = clinic, MessageId = message.Id, EscalationId = report, Tier = Tier.Urgent, Version = "lower-face.v1", Json = JsonSerializer.Serialize(new Reading(new("lower-face", 1), Tier.Urgent, [], [])), ReadAt = now });
            db.Add(new OutgoingRow { ClinicId = clinic, Key = "reply:other:0", Kind = OutgoingKind.SafetyReply, From = "+12125550111", To = "+12125550133", Text = "what she was told", MadeAt = now, State = OutgoingState.Accepted });
            return await db.SaveChangesAsync();
        });
        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Ada"), ("Number", "2125550134"));
        var page = WebUtility.HtmlDecode(await desk.GetStringAsync($"/Escalations/{report}"));
        Assert.Contains("tel:+12125550134", page);
        Assert.Contains("Written from +12125550133", page);
        Assert.Contains("href=\"tel:+12125550133\"", page);
        Assert.Contains("The patient's number was changed in the records", page);
        Assert.Contains("what she was told", page);
        Assert.Equal("+12125550134", await InDatabase(db => db.Escalations.Select(e => e.OpenKey).SingleAsync()));        // the next text joins it
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
