using System.Net;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Tests.ContentFiles;
using AftercarePortal.Web.Tests.Intake;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Review;

public sealed class Deciding_an_intake : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private Intake_of person = null!;
    private HttpClient desk = null!;
    private Guid clinic;
    private string page = "";

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        person = new(portal, clinic);
        await person.Result();
        await person.Send();
        desk = await portal.SignedIn(clinic, "mara");
        page = $"/Review/{await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync())}";
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private static (string, string)[] Form(string choice, string until = "") =>
        [("Choice", choice), ("Until", until), ("Reason", "Seen & weighed"), ("Words", "Please ring us <b>soon</b>.")];

    [Fact]
    public async Task Accepting_makes_a_patient_answers_on_the_private_page_and_tells_by_text_without_a_word_of_it()
    {
        Assert.Contains("Jonas Lind", await desk.GetStringAsync("/Review"));
        Assert.Equal(HttpStatusCode.Redirect, (await Portal_with_staff.Send(desk, page, Form("Accepted"))).StatusCode);
        Assert.DoesNotContain("Jonas Lind", await desk.GetStringAsync("/Review"));
        var patient = await person.InClinic(db => db.Patients.SingleAsync(p => p.Name == "Jonas Lind"));
        Assert.Equal("+12125550177", patient.Number);
        Assert.NotNull(patient.AgreedToTextsAt);
        Assert.Contains($"/Treatment/Record/{patient.Id}", await desk.GetStringAsync(page));
        var mine = await person.Show(person.Link);
        Assert.Contains("Please ring us <b>soon</b>.", mine);         // decoded by the test: it was escaped
        Assert.DoesNotContain("Seen & weighed", mine);
        var text = await person.InClinic(db => db.Outgoing.SingleAsync());
        Assert.Equal((OutgoingKind.Notice, "+12125550177"), (text.Kind, text.To));
        Assert.DoesNotContain("ring us", text.Text);
    }

    [Fact]
    public async Task Whatever_was_written_in_words_stands_open_above_the_findings()
    {
        var other = new Intake_of(portal, clinic);
        await other.Start();
        await other.Born(1988);
        while (!(await other.Show()).Contains("value=\"blood-thinner\"", StringComparison.Ordinal)) await other.Skip();
        await other.Answer(("choice", "other"));
        await other.Answer(("text", "a tea from <my> aunt"));
        await other.Rest("A firmer jaw line.");
        await other.Post(other.At);
        await other.Send("Ada Quill");
        var id = await other.InClinic(db => db.Intakes.Where(i => i.Name == "Ada Quill").Select(i => i.Id).SingleAsync());
        var shown = WebUtility.HtmlDecode(await desk.GetStringAsync($"/Review/{id}"));
        var top = shown[..shown.IndexOf("<h2 id=\"findings\">", StringComparison.Ordinal)];
        Assert.Contains("a tea from <my> aunt", top);
        Assert.Contains("A firmer jaw line.", top);
    }

    [Fact]
    public async Task An_old_intake_is_shown_as_it_was_and_read_again_under_the_rules_in_force_with_the_difference()
    {
        Assert.DoesNotContain("Read again under", await desk.GetStringAsync(page));
        var row = await person.InClinic(db => db.IntakeResults.SingleAsync());
        var now = IntakeResult.FromJson(row.Json);
        // As an older version could have worked it out: one finding less strong, one that is gone, one that is new.
        var changed = now.Findings[0] with { Kind = AftercarePortal.Clinical.Candidacy.FindingKind.Discuss, FromDoubt = false };
        var old = now with { Rules = "lower-face.v0", Findings = [changed, now.Findings[0] with { RuleId = "left-handed", Reason = "Of old." }, .. now.Findings.Skip(2)] };
        await person.InClinic(db => db.IntakeResults.ExecuteUpdateAsync(s => s.SetProperty(r => r.Json, old.ToJson())));
        var shown = System.Net.WebUtility.HtmlDecode(await desk.GetStringAsync(page));
        Assert.Contains("Read again under lower-face.v1", shown);
        Assert.Contains("rules lower-face.v0", shown);
        Assert.Contains("Of old.", shown);
        Assert.Contains("No longer said: left-handed", shown);
        Assert.Contains($"New: {now.Findings[1].RuleId}", shown);
        Assert.Contains($"Changed: {now.Findings[0].RuleId} was discuss", shown);
    }

    [Fact]
    public async Task After_a_next_version_of_the_rules_a_new_intake_uses_it_an_old_one_stays_and_shows_the_difference()
    {
        using var copy = new Content_copy();
        var inUse = ContentLibrary.Load(copy.Folder);
        await using var two = await Portal_with_staff.OpenWith(() => inUse);
        var (wrenfold, _) = await two.Clinic("Wrenfold Clinic", 2);
        var before = new Intake_of(two, wrenfold);
        var said = await before.Result();
        await before.Send();
        Assert.Contains("rules lower-face.v1", said);
        copy.Next("candidacy/lower-face.v1.yaml", "candidacy/lower-face.v2.yaml", ("version: 1", "version: 2"), ("id: cannot-be-reached", "id: nobody-near"));
        inUse = ContentLibrary.Load(copy.Folder);
        var after = new Intake_of(two, wrenfold);
        Assert.Contains("rules lower-face.v2", await after.Result());
        Assert.Contains("rules lower-face.v1", await before.Show(before.Link + "/result"));
        var at = await two.SignedIn(wrenfold, "ines");
        var old = await before.InClinic(db => db.Intakes.Where(i => i.SubmittedAt != null).Select(i => i.Id).SingleAsync());
        var shown = System.Net.WebUtility.HtmlDecode(await at.GetStringAsync($"/Review/{old}"));
        Assert.Contains("rules lower-face.v1, worked out on", shown);
        Assert.Contains("Read again under lower-face.v2", shown);
        Assert.Contains("New: nobody-near", shown);
        Assert.Contains("No longer said: cannot-be-reached", shown);
    }

    [Fact]
    public async Task Somebody_who_wants_no_texts_gets_none()
    {
        var other = new Intake_of(portal, clinic);
        await other.Result();
        await other.Send("Ada Quill", "212 555 0178", mayText: false);
        var id = await person.InClinic(db => db.Intakes.Where(i => i.Name == "Ada Quill").Select(i => i.Id).SingleAsync());
        await Portal_with_staff.Send(desk, $"/Review/{id}", Form("Accepted"));
        Assert.Equal(0, await person.InClinic(db => db.Outgoing.CountAsync()));
        Assert.Null((await person.InClinic(db => db.Patients.SingleAsync(p => p.Name == "Ada Quill"))).AgreedToTextsAt);
    }

    [Fact]
    public async Task Deferred_it_leaves_the_queue_and_comes_back_on_its_day()
    {
        await Portal_with_staff.Send(desk, page, Form("Deferred", "2031-06-01"));
        Assert.DoesNotContain("Jonas Lind", await desk.GetStringAsync("/Review"));
        portal.Clock.Advance(TimeSpan.FromDays(18) + TimeSpan.FromHours(4));
        var later = portal.Browser();
        desk = await portal.SignedIn(clinic, "jonas");
        Assert.Contains("Jonas Lind", await desk.GetStringAsync("/Review"));
    }

    [Theory]
    [InlineData("", "", "Seen", "Ring us", "Choose what to do")]
    [InlineData("Deferred", "", "Seen", "Ring us", "a day after today")]
    [InlineData("Deferred", "2031-05-14", "Seen", "Ring us", "a day after today")]
    [InlineData("Declined", "", " ", "Ring us", "Write your reason")]
    [InlineData("Declined", "", "Seen", "", "what the person reads")]
    public async Task Without_choice_day_reason_or_words_nothing_is_decided_and_all_stays_as_typed(string choice, string until, string reason, string words, string problem)
    {
        var refused = await Portal_with_staff.Send(desk, page, ("Choice", choice), ("Until", until), ("Reason", reason), ("Words", words));
        var html = await refused.Content.ReadAsStringAsync();
        Assert.Contains(problem, html);
        if (words.Length > 0) Assert.Contains(words + "</textarea>", html);
        Assert.Equal(0, await person.InClinic(db => db.Decisions.CountAsync()));
    }

    [Fact]
    public async Task Of_two_clinicians_at_once_one_decides_and_the_other_is_told_who()
    {
        var other = await portal.SignedIn(clinic, "ines");
        var (mine, theirs) = (await desk.GetStringAsync(page), await other.GetStringAsync(page));
        var answers = await Task.WhenAll(Portal_with_staff.Post(desk, page, mine, Form("Accepted")), Portal_with_staff.Post(other, page, theirs, Form("Declined")));
        var late = Assert.Single(answers, a => a.StatusCode is HttpStatusCode.OK);
        Assert.Contains("decided meanwhile", await late.Content.ReadAsStringAsync());
        Assert.Equal(1, await person.InClinic(db => db.Decisions.CountAsync()));
    }

    [Fact]
    public async Task A_later_decision_stands_beside_the_earlier_one()
    {
        await Portal_with_staff.Send(desk, page, Form("Declined"));
        await Portal_with_staff.Send(desk, page, Form("Accepted"));
        Assert.Equal([Decision.Declined, Decision.Accepted], await person.InClinic(db => db.Decisions.OrderBy(d => d.Number).Select(d => d.Decision).ToListAsync()));
    }

    [Fact]
    public async Task The_same_person_accepted_twice_is_one_patient()
    {
        await Portal_with_staff.Send(desk, page, Form("Accepted"));
        await Portal_with_staff.Send(desk, page, Form("Accepted"));
        Assert.Equal(1, await person.InClinic(db => db.Patients.CountAsync(p => p.Number == "+12125550177")));
    }

    private async Task<string> TypedByAnybody(string name)
    {
        await Portal_with_staff.Send(desk, page, Form("Accepted"));
        var typed = new Intake_of(portal, clinic);
        await typed.Result();
        await typed.Send(name, "212 555 0177");
        return $"/Review/{await person.InClinic(db => db.Intakes.OrderByDescending(i => i.Id).Select(i => i.Id).FirstAsync())}";
    }

    [Theory]
    [InlineData("Jonas Lind")]
    [InlineData("Ada Quill")]
    public async Task An_intake_with_a_number_that_is_known_joins_nobodys_record_until_somebody_says_who_it_is(string name)
    {
        var later = await TypedByAnybody(name);
        var html = await (await Portal_with_staff.Send(desk, later, Form("Accepted"))).Content.ReadAsStringAsync();
        Assert.Contains("Say who this is", html);
        Assert.Contains("Please ring us &lt;b&gt;soon&lt;/b&gt;.", html);                     // what was typed stays
        Assert.Equal(1, await person.InClinic(db => db.Decisions.CountAsync()));

        var patient = await person.InClinic(db => db.Patients.SingleAsync(p => p.Number == "+12125550177"));
        await Portal_with_staff.Send(desk, later, [.. Form("Accepted"), ("Who", patient.Id.ToString())]);
        Assert.Equal([patient.Id, patient.Id], await person.InClinic(db => db.Decisions.Select(d => d.PatientId!.Value).ToListAsync()));
        Assert.Equal("Jonas Lind", await person.InClinic(db => db.Patients.Where(p => p.Number == "+12125550177").Select(p => p.Name).SingleAsync()));
    }

    [Fact]
    public async Task Somebody_new_on_a_known_number_gets_a_record_of_her_own()
    {
        var later = await TypedByAnybody("Jonas Lind");
        await Portal_with_staff.Send(desk, later, [.. Form("Accepted"), ("Who", WhoSent.SomebodyNew)]);
        Assert.Equal(2, await person.InClinic(db => db.Decisions.Select(d => d.PatientId).Distinct().CountAsync()));
        Assert.Equal(2, await person.InClinic(db => db.Patients.CountAsync(p => p.Number == "+12125550177")));
    }

    [Theory]
    [InlineData("quill")]
    [InlineData("0188")]
    public async Task A_patient_known_under_another_number_is_looked_for_and_named_and_what_was_typed_stays(string wanted)
    {
        var later = await TypedByAnybody("Jonas Lind");
        var ada = await Known("Ada Quill", "+12125550188");
        Assert.DoesNotContain("Ada Quill", await desk.GetStringAsync(later));
        Assert.Contains("Say who this is", await (await Portal_with_staff.Send(desk, later, [.. Form("Accepted"), ("Who", ada.ToString())])).Content.ReadAsStringAsync());      // nobody looked for her

        var html = await (await Portal_with_staff.Post(desk, $"{later}?handler=Find", await desk.GetStringAsync(later), [.. Form("Accepted"), ("Wanted", wanted)])).Content.ReadAsStringAsync();
        Assert.Contains("Ada Quill, whom you know under another number, &#x2B;12125550188", html);
        Assert.Contains("Please ring us &lt;b&gt;soon&lt;/b&gt;.", html);
        Assert.Equal(1, await person.InClinic(db => db.Decisions.CountAsync()));
        Assert.Contains("Say who this is", await (await Portal_with_staff.Post(desk, later, html, [.. Form("Accepted"), ("Wanted", wanted)])).Content.ReadAsStringAsync());

        Assert.Equal(later, Portal_with_staff.AddressOf("Keep this decision", html));               // and not of the search
        Assert.Equal(HttpStatusCode.Redirect, (await Portal_with_staff.Post(desk, later, html, [.. Form("Accepted"), ("Who", ada.ToString()), ("Wanted", wanted)])).StatusCode);
        Assert.Equal(ada, await person.InClinic(db => db.SenderOf(Guid.Parse(later[^36..]), default)));
        Assert.Equal("+12125550188", await person.InClinic(db => db.Patients.Where(p => p.Id == ada).Select(p => p.Number).SingleAsync()));
    }

    [Fact]
    public async Task Looking_for_somebody_of_whom_nothing_is_known_says_so_and_finds_nobody_of_another_clinic()
    {
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var otto = await portal.SignedIn(other, "otto");
        await Portal_with_staff.Send(otto, "/Patients/Edit", ("Name", "Ada Quill"), ("Number", "+12125550188"));
        Assert.Contains("Ada Quill", await otto.GetStringAsync("/Patients"));
        var html = await (await Portal_with_staff.Post(desk, $"{page}?handler=Find", await desk.GetStringAsync(page), [.. Form("Accepted"), ("Wanted", "quill")])).Content.ReadAsStringAsync();
        Assert.Contains("Nobody of another number was found", html);
        Assert.DoesNotContain("Ada Quill", html);
    }

    [Fact]
    public async Task Who_sent_it_can_be_corrected_to_a_patient_known_under_another_number()
    {
        await Portal_with_staff.Send(desk, page, Form("Accepted"));
        var ada = await Known("Ada Quill", "+12125550188");
        var html = await (await Portal_with_staff.Post(desk, $"{page}/Sender?handler=Find", await desk.GetStringAsync($"{page}/Sender"), ("Wanted", "quill"), ("HowKnown", "Rang <b>her</b>."))).Content.ReadAsStringAsync();
        Assert.Contains("Rang &lt;b&gt;her&lt;/b&gt;.", html);
        Assert.Equal($"{page}/Sender", Portal_with_staff.AddressOf("Correct who sent it", html));
        Assert.Equal(HttpStatusCode.Redirect, (await Portal_with_staff.Post(desk, $"{page}/Sender", html, ("Who", ada.ToString()), ("Wanted", "quill"), ("HowKnown", "Rang her."))).StatusCode);
        Assert.Equal(ada, await person.InClinic(db => db.SenderOf(Guid.Parse(page[^36..]), default)));
    }

    [Fact]
    public async Task After_another_button_was_pressed_a_decision_is_still_a_decision()
    {
        var html = await (await Portal_with_staff.Post(desk, $"{page}?handler=Link", await desk.GetStringAsync(page))).Content.ReadAsStringAsync();
        Assert.Contains("shown this once", html);
        Assert.Equal(HttpStatusCode.Redirect, (await Portal_with_staff.Post(desk, Portal_with_staff.AddressOf("Keep this decision", html), html, Form("Accepted"))).StatusCode);
        Assert.Equal(1, await person.InClinic(db => db.Decisions.CountAsync()));
    }

    private Task<Guid> Known(string name, string number) => person.InClinic(async db =>
    {
        var made = db.Add(new PatientRow { Name = name, Number = number }).Entity;
        await db.SaveChangesAsync();
        return made.Id;
    });

    [Fact]
    public async Task Somebody_chosen_whose_number_was_corrected_meanwhile_is_not_made_anew()
    {
        var later = await TypedByAnybody("Jonas Lind");
        var patient = await person.InClinic(db => db.Patients.SingleAsync(p => p.Number == "+12125550177"));
        await Portal_with_staff.Send(desk, $"/Patients/Edit/{patient.Id}", ("Name", patient.Name), ("Number", "+12125550188"));
        Assert.Contains("Say who this is", await (await Portal_with_staff.Send(desk, later, [.. Form("Accepted"), ("Who", patient.Id.ToString())])).Content.ReadAsStringAsync());
        Assert.Equal(0, await person.InClinic(db => db.Patients.CountAsync(p => p.Number == "+12125550177")));
    }

    [Fact]
    public async Task Who_sent_it_can_be_corrected_with_how_it_is_known_and_the_person_hears_nothing()
    {
        var later = await TypedByAnybody("Ada Quill");
        var jonas = await person.InClinic(db => db.Patients.SingleAsync(p => p.Number == "+12125550177"));
        await Portal_with_staff.Send(desk, later, [.. Form("Accepted"), ("Who", jonas.Id.ToString())]);
        var told = await person.InClinic(db => db.Outgoing.CountAsync());
        Assert.Contains("Write how you know", await (await Correct(later, WhoSent.SomebodyNew, " ")).Content.ReadAsStringAsync());
        Assert.Contains("somebody else you know", await (await Correct(later, jonas.Id.ToString(), "rang her")).Content.ReadAsStringAsync());
        Assert.Equal(HttpStatusCode.Redirect, (await Correct(later, WhoSent.SomebodyNew, "Rang the number: it is her daughter.")).StatusCode);

        var ada = await person.InClinic(db => db.Patients.SingleAsync(p => p.Number == "+12125550177" && p.Id != jonas.Id));
        Assert.Equal(("Ada Quill", told), (ada.Name, await person.InClinic(db => db.Outgoing.CountAsync())));
        var html = await desk.GetStringAsync(later);
        Assert.Contains("Sent by Jonas Lind: corrected since.", html);
        Assert.Contains("Rang the number: it is her daughter.", html);
        Assert.Contains($"/Treatment/Record/{ada.Id}", html);
        Assert.DoesNotContain($"/Treatment/Record/{jonas.Id}", html);
        Assert.Equal(HttpStatusCode.Redirect, (await Correct(later, jonas.Id.ToString(), "It was him after all.")).StatusCode);      // and back
        Assert.Equal(jonas.Id, await person.InClinic(db => db.Decisions.OrderByDescending(d => d.Number).Select(d => d.PatientId!.Value).FirstAsync()));
    }

    [Fact]
    public async Task Of_two_who_correct_at_once_the_second_is_told()
    {
        await Portal_with_staff.Send(desk, page, Form("Accepted"));
        var html = await desk.GetStringAsync($"{page}/Sender");
        await Correct(page, WhoSent.SomebodyNew, "Rang the number.", html);
        Assert.Equal(HttpStatusCode.Redirect, (await Correct(page, WhoSent.SomebodyNew, "Rang the number.", html)).StatusCode);      // a double tap
        var otto = await portal.SignedIn(clinic, "otto");
        var theirs = (await otto.GetStringAsync($"{page}/Sender")).Replace("name=\"Seen\" value=\"2\"", "name=\"Seen\" value=\"1\"", StringComparison.Ordinal);
        Assert.Contains("decided meanwhile", await (await Portal_with_staff.Post(otto, $"{page}/Sender", theirs, ("Who", WhoSent.SomebodyNew), ("HowKnown", "Asked her."))).Content.ReadAsStringAsync());
        Assert.Equal(2, await person.InClinic(db => db.Decisions.CountAsync()));
        Assert.Contains("Who sent it, corrected", await desk.GetStringAsync(page));
        Assert.Equal(2, await person.InClinic(db => db.Patients.CountAsync(p => p.Number == "+12125550177")));
    }

    [Fact]
    public async Task Nobody_can_be_corrected_before_it_is_decided_who_it_is() =>
        Assert.Equal(HttpStatusCode.NotFound, (await Correct(page, WhoSent.SomebodyNew, "Rang the number.", await desk.GetStringAsync(page))).StatusCode);

    private async Task<HttpResponseMessage> Correct(string of, string who, string how, string? html = null) =>
        await Portal_with_staff.Post(desk, $"{of}/Sender", html ?? await (await desk.GetAsync($"{of}/Sender")).Content.ReadAsStringAsync(), ("Who", who), ("HowKnown", how));

    [Fact]
    public async Task Consent_that_was_taken_back_is_not_given_again_by_a_form()
    {
        await Portal_with_staff.Send(desk, page, Form("Accepted"));
        var patient = await person.InClinic(db => db.Patients.SingleAsync(p => p.Number == "+12125550177"));
        await Portal_with_staff.Send(desk, $"/Patients/Edit/{patient.Id}", ("Name", patient.Name), ("Number", patient.Number));
        await Portal_with_staff.Send(desk, page, Form("Accepted"));
        Assert.Null((await person.InClinic(db => db.Patients.SingleAsync(p => p.Id == patient.Id))).AgreedToTextsAt);
    }

    [Fact]
    public async Task Another_clinics_intake_is_not_found()
    {
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "otto");
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(page)).StatusCode);
        Assert.DoesNotContain("Jonas Lind", await theirs.GetStringAsync("/Review"));
        Assert.Equal(HttpStatusCode.NotFound, (await Portal_with_staff.Post(theirs, page, await theirs.GetStringAsync("/Staff/SignOut"), Form("Accepted"))).StatusCode);
    }

    [Fact]
    public async Task An_intake_that_was_not_sent_is_nobodys_business()
    {
        var draft = new Intake_of(portal, clinic);
        await draft.Start();
        var id = await person.InClinic(db => db.Intakes.Where(i => i.SubmittedAt == null).Select(i => i.Id).SingleAsync());
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync($"/Review/{id}")).StatusCode);
    }
}
