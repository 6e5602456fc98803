using System.Net;
using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Features.Treatment.Plan;
using AftercarePortal.Web.Tests.Intake;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime.Extensions;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Treatment;

public sealed class Planning_a_treatment : IAsyncLifetime
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
        page = $"/Treatment/Plan/{patient}";
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private static (string, string)[] Line(int i, string side = "Left", string amount = "0.75", string product = "CaHA filler", string region = "JawAngle", string device = "22 G cannula") =>
    [
        ($"Form.Lines[{i}].Region", region), ($"Form.Lines[{i}].Side", side), ($"Form.Lines[{i}].Product", product), ($"Form.Lines[{i}].Amount", amount), ($"Form.Lines[{i}].Device", device),
    ];

    private static async Task<string> Text(HttpResponseMessage answer) => WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());

    [Theory]
    [InlineData("7")]
    [InlineData("-7")]
    public async Task A_form_that_says_it_was_opened_at_a_version_there_never_was_is_not_kept(string seen)
    {
        var form = (await mara.GetStringAsync(page)).Replace("name=\"Seen\" value=\"0\"", $"name=\"Seen\" value=\"{seen}\"", StringComparison.Ordinal);
        Assert.Contains("Open the page anew", await Text(await Post(mara, page, form, Line(0))));
        Assert.Equal(0, await InDatabase(db => db.Plans.CountAsync()));
        var record = $"/Treatment/Record/{patient}";
        form = (await mara.GetStringAsync(record)).Replace("name=\"Seen\" value=\"0\"", $"name=\"Seen\" value=\"{seen}\"", StringComparison.Ordinal);
        Assert.Contains("Open the page anew", await Text(await Post(mara, record, form,
            ("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"),
            ("Lines[0].Lot", "DEMO-0417"), ("Lines[0].Expiry", "2032-01-31"), ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"))));
        Assert.Equal(0, await InDatabase(db => db.Treatments.CountAsync()));
    }

    [Fact]
    public async Task It_is_kept_line_by_line_and_shown_again_with_what_it_calls_for()
    {
        Assert.Equal(HttpStatusCode.Redirect, (await Send(mara, page, [.. Line(0), .. Line(1, "Right", "3,5"), ("Form.Adjuncts", "toxin on another day")])).StatusCode);
        var html = WebUtility.HtmlDecode(await mara.GetStringAsync(page));
        Assert.Contains("jaw angle, left: CaHA filler, 0.75 mL", html);
        Assert.Contains("adds up to 3.50 mL: more than the 3 mL a side", html);
        Assert.Contains("facial artery", html);
        Assert.Contains("22 G cannula, 2 to 2.5 inch (common practice, no source)", html);
        Assert.Contains("Not accepted by the patient yet", html);
    }

    [Fact]
    public async Task The_intake_is_read_again_for_what_is_planned_whatever_was_wished_for()
    {
        Assert.Contains("No intake of this patient is kept here", await mara.GetStringAsync(page));
        var planned = await Invited(("neuromuscular", "neuromuscular"), ("ha-filler", "ha-filler"));
        var before = WebUtility.HtmlDecode(await mara.GetStringAsync(planned));
        Assert.DoesNotContain("Exaggerated weakness", before);                       // the toxin was not wished for
        Assert.DoesNotContain("With what is planned", before);

        await Send(mara, planned, Line(0, product: "botulinum toxin type A", amount: "6", region: "Chin", side: "Midline"));
        var toxin = WebUtility.HtmlDecode(await mara.GetStringAsync(planned));
        Assert.Contains("With what is planned, the intake of 14 May 2031 says more", toxin);
        Assert.Contains("<li>Clear first: A nerve and muscle illness matters here. A clinician must look into it before a muscle-relaxing shot. Exaggerated weakness", toxin);
        // The record that is typed is read the same way, whatever the plan says.
        var record = planned.Replace("/Plan/", "/Record/", StringComparison.Ordinal);
        Assert.DoesNotContain("Exaggerated weakness", await mara.GetStringAsync(record));
        Assert.Contains("<li>Clear first: A nerve and muscle illness matters here. A clinician must look into it before a muscle-relaxing shot. Exaggerated weakness", await Text(await Post(mara, record + "?handler=More", await mara.GetStringAsync(record), ("Lines[0].Region", "Chin"), ("Lines[0].Side", "Midline"),
            ("Lines[0].Product", "botulinum toxin type A"), ("Lines[0].Amount", "6"), ("Lines[0].Plane", "Intramuscular"), ("Lines[0].Lot", "T-1"), ("Lines[0].Expiry", "2032-01-31"), ("Lines[0].ProductName", "toxin"), ("Lines[0].Device", "a needle"))));
    }

    [Fact]
    public async Task What_was_not_told_counts_against_what_is_planned_and_a_wait_is_named_until_it_ends()
    {
        var planned = await Invited(("vaccine", "vaccine"), ("neuromuscular", ""), ("caha-filler", "caha-filler"), ("jaw-body", "jaw-body"));
        Assert.Contains("<li>Wait until 1 June 2031: ", WebUtility.HtmlDecode(await mara.GetStringAsync(planned)));
        await Send(mara, planned, Line(0, product: "botulinum toxin type A", amount: "6", region: "Chin", side: "Midline"));
        Assert.Contains("Because something was not told", WebUtility.HtmlDecode(await mara.GetStringAsync(planned)));
        portal.Clock.Advance(TimeSpan.FromDays(30));
        mara = await portal.SignedIn(clinic, "ines");
        Assert.DoesNotContain("<li>Wait until", WebUtility.HtmlDecode(await mara.GetStringAsync(planned)));
    }

    [Fact]
    public async Task What_was_told_and_must_be_settled_first_stands_beside_the_plan_with_what_a_clinician_made_of_it()
    {
        var planned = await Invited(("bleeding", "bleeding"), ("ha-filler", "ha-filler"), ("jaw-body", "jaw-body"));
        var open = WebUtility.HtmlDecode(await mara.GetStringAsync(planned));
        Assert.Contains("Told in the intake of 14 May 2031", open);
        Assert.Matches("<li>Clear first: A bleeding problem[^<]*Open: nobody has written what came of it", open);

        await InDatabase(async db =>
        {
            db.Add(new OverrideRow { IntakeId = await db.Intakes.Select(i => i.Id).SingleAsync(), RuleId = "bleeding-disorder", Number = 1, Becomes = null, Reason = "haematologist's letter of 2 May", Consequence = "none", DecidedBy = "Dr mara", DecidedAt = portal.Clock.GetCurrentInstant() });
            return await db.SaveChangesAsync();
        });
        Assert.Matches("<li>Clear first: A bleeding problem[^<]*Set aside by Dr mara: haematologist", WebUtility.HtmlDecode(await mara.GetStringAsync(planned)));
    }

    [Fact]
    public async Task An_intake_that_turned_out_to_be_somebody_elses_is_not_read_for_the_plan()
    {
        var planned = await Invited(("neuromuscular", "neuromuscular"), ("ha-filler", "ha-filler"));
        await Send(mara, planned, Line(0, product: "botulinum toxin type A", amount: "6", region: "Chin", side: "Midline"));
        var intake = await InDatabase(db => db.Intakes.Where(i => i.SubmittedAt != null).Select(i => i.Id).SingleAsync());
        await Send(mara, $"/Review/{intake}/Sender", ("Who", "new"), ("HowKnown", "Rang the number."));
        var html = await mara.GetStringAsync(planned);
        Assert.DoesNotContain("Exaggerated weakness", html);
        Assert.Contains("No intake of this patient is kept here", html);
    }

    // Answers what is offered of these (nothing: left out), the calm answer else; sends it, is invited; returns the address of the plan.
    private async Task<string> Invited(params (string Offered, string Answer)[] told)
    {
        var person = new Intake_of(portal, clinic);
        var left = told.ToList();
        await person.Start();
        await person.Born(1988);
        for (var i = 0; i < 70 && !person.At.EndsWith("/check", StringComparison.Ordinal); i++)
        {
            var html = await person.Show();
            var once = left.FindIndex(t => Offers(t.Offered));
            var answer = once >= 0 ? left[once].Answer : new[] { "none", "no", "female", "clear" }.FirstOrDefault(Offers);
            if (once >= 0) left.RemoveAt(once);
            if (answer is "") await person.Skip();
            else if (answer is not null) await person.Answer(("choice", answer));
            else if (Intake_of.QuestionOn(html).Contains("vaccine", StringComparison.Ordinal)) await person.Answer(("day", "11"), ("month", "5"), ("year", "2031"));
            else await person.Skip();

            bool Offers(string code) => html.Contains($"name=\"choice\" value=\"{code}\"", StringComparison.Ordinal);
        }

        await person.Post(person.At);
        await person.Send();
        var intake = await InDatabase(db => db.Intakes.Where(i => i.SubmittedAt != null).Select(i => i.Id).SingleAsync());
        await Send(mara, $"/Review/{intake}", ("Choice", "Accepted"), ("Reason", "Seen."), ("Words", "Please come."));
        return $"/Treatment/Plan/{await InDatabase(db => db.Decisions.Select(d => d.PatientId!.Value).SingleAsync())}";
    }

    [Theory]
    [InlineData("Sideways", "0.75", "CaHA filler", "JawAngle", "choose the side")]
    [InlineData("Left", "0", "CaHA filler", "JawAngle", "0.01 to 20.00 mL")]
    [InlineData("Left", "-1", "CaHA filler", "JawAngle", "0.01 to 20.00 mL")]
    [InlineData("Left", "99999999999999999999999999999999", "CaHA filler", "JawAngle", "0.01 to 20.00 mL")]
    [InlineData("Left", "0.05", "botulinum toxin type A", "JawAngle", "0.1 to 100.0 units")]
    [InlineData("Left", "1", "HA filler", "Platysma", "platysma takes botulinum toxin type A only")]
    [InlineData("", "", "", "", "Plan at least one region")]
    public async Task What_cannot_be_planned_is_refused_with_its_reason_and_stays_typed(string side, string amount, string product, string region, string reason)
    {
        var answer = await Text(await Send(mara, page, Line(0, side, amount, product, region, region.Length == 0 ? "" : "a <device>")));
        Assert.Contains(reason, answer);
        if (region.Length > 0) Assert.Contains("value=\"a <device>\"", answer);
        Assert.Equal(0, await InDatabase(db => db.Plans.CountAsync()));
    }

    [Fact]
    public async Task After_a_line_was_added_the_save_button_saves_and_adds_no_line()
    {
        var more = await Text(await Send(mara, page + "?handler=More", Line(0)));
        // A button without an address of its own sends to the page's address, which adds a line.
        Assert.Contains("<button formaction=\"?\">Save the plan</button>", more);
        Assert.Equal(HttpStatusCode.Redirect, (await Post(mara, page, more, [.. Line(0), .. Line(1, "Right")])).StatusCode);
        Assert.Equal(2, await InDatabase(db => db.PlanLines.CountAsync()));
    }

    [Fact]
    public async Task Of_two_who_edit_one_plan_the_second_sees_the_firsts_version_and_keeps_what_was_typed()
    {
        var jonas = await portal.SignedIn(clinic, "jonas");
        var (first, second) = (await mara.GetStringAsync(page), await jonas.GetStringAsync(page));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(mara, page, first, Line(0))).StatusCode);
        var told = WebUtility.HtmlDecode(await (await Post(jonas, page, second, Line(0, "Right", "0.6"))).Content.ReadAsStringAsync());
        Assert.Contains("Not saved: Dr mara saved version 1 of this plan", told);
        Assert.Contains("jaw angle, left: CaHA filler, 0.75 mL", told);
        Assert.Contains("value=\"0.6\"", told);
        Assert.Equal(1, await InDatabase(db => db.Plans.CountAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(jonas, page, told, Line(0, "Right", "0.6"))).StatusCode);
        Assert.Contains("Earlier versions (1)", await mara.GetStringAsync(page));
    }

    [Fact]
    public async Task Of_two_who_save_in_the_same_moment_one_is_told()
    {
        var jonas = await portal.SignedIn(clinic, "jonas");
        var (first, second) = (await mara.GetStringAsync(page), await jonas.GetStringAsync(page));
        var both = await Task.WhenAll(Post(mara, page, first, Line(0)), Post(jonas, page, second, Line(0)));
        Assert.Equal([HttpStatusCode.OK, HttpStatusCode.Redirect], both.Select(b => b.StatusCode).Order());
        Assert.Equal(1, await InDatabase(db => db.Plans.CountAsync()));
    }

    [Fact]
    public async Task The_patient_accepts_the_version_on_the_screen_and_no_other()
    {
        var noor = await portal.SignedIn(clinic, "noor");
        var accept = page + "/Accept";
        await Send(mara, page, Line(0, device: ""));
        await HandOver(mara, accept);
        var old = await mara.GetStringAsync(accept);
        Assert.Contains("It is no consent to treatment", old);
        Assert.DoesNotContain("own words", old);                                     // this plan holds none
        Assert.Contains("No range from an examination is kept here", old);
        await Send(noor, page, Line(0, amount: "1"));
        (string, string)[] typed = [("TypedName", "patient of wrenfold clinic"), ("Agrees", "true")];
        Assert.Contains("has changed since it was opened", await Text(await Post(mara, accept, old, typed)));
        Assert.Contains("Type your name", await Text(await Send(mara, accept, ("TypedName", "Somebody else"), ("Agrees", "true"))));
        Assert.Contains("Tick that this is the plan", await Text(await Send(mara, accept, ("TypedName", "Patient of Wrenfold Clinic"))));
        Assert.Equal(0, await InDatabase(db => db.PlanAcceptances.CountAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Send(mara, accept, typed)).StatusCode);
        Assert.Contains("Please give the screen back", await mara.GetStringAsync(accept));
        Assert.Contains("Accepted by the patient on a screen handed over by Dr mara", await noor.GetStringAsync(page));
        await Send(noor, page, Line(0, amount: "1.2"));
        Assert.Contains("Not accepted by the patient yet", await noor.GetStringAsync(page));
    }

    [Fact]
    public async Task Whoever_is_written_to_in_Spanish_accepts_in_Spanish_what_is_kept_byte_for_byte()
    {
        await Send(mara, page, Line(0, device: "22 G cannula"));
        await InDatabase(db => db.Patients.ExecuteUpdateAsync(set => set.SetProperty(p => p.Language, "es")));
        var accept = page + "/Accept";
        await HandOver(mara, accept);
        var html = WebUtility.HtmlDecode(await mara.GetStringAsync(accept));
        Assert.Contains("<html lang=\"es\">", html);
        Assert.Contains("<li>ángulo de la mandíbula, izquierda: relleno de CaHA, 0.75 mL, con: 22 G cannula</li>", html);
        Assert.Contains("No es un consentimiento para el tratamiento", html);
        // The device stands as the clinician typed it, and the page says so.
        Assert.Contains("La aguja, la cánula y lo que va además están con las palabras del clínico, tal como las escribió, quizá en otro idioma", html);
        foreach (var english in new[] { "Your plan", "Your name", "jaw angle", "interpreter", "href=\"/Patients\"" }) Assert.DoesNotContain(english, html);
        await Send(mara, accept, ("TypedName", "Patient of Wrenfold Clinic"), ("Agrees", "true"));
        await portal.TakeBack(mara, "mara");

        var kept = await InDatabase(db => db.PlanAcceptances.SingleAsync());
        Assert.Equal(("es", Convert.ToHexString(SHA256.HashData(kept.Bytes))), (kept.Language, kept.Hash));
        // Every line that was kept stood on the screen, and nothing of the plan stood there that was not kept.
        Assert.All(Encoding.UTF8.GetString(kept.Bytes).Split('\n'), line => Assert.Contains(line.TrimStart('#', '-', ' '), html));
        Assert.Contains("relleno de CaHA, 0.75 mL, con: 22 G cannula", Encoding.UTF8.GetString(kept.Bytes));
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await mara.GetByteArrayAsync($"/Treatment/Plan/Accepted/{kept.Id}/Pdf")), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        Assert.Equal("es", file.Internals.Catalog.Elements.GetString("/Lang"));
    }

    [Fact]
    public async Task The_emergency_kit_must_be_there_and_in_date()
    {
        (string, string)[] all = [("There", "hyaluronidase"), ("There", "adrenaline"), ("There", "plan"), ("There", "unit"), ("Expiry.adrenaline", "2031-05-14")];
        var refused = await Text(await Send(mara, page + "/Kit", [.. all.Skip(1), ("Expiry.hyaluronidase", "2031-05-13")]));
        Assert.Contains("expired on 13 May 2031. Do not start", refused);
        Assert.Contains("Hyaluronidase, as much as the clinic's protocol asks for: not ticked", refused);
        Assert.Contains("give the last day", await Text(await Send(mara, page + "/Kit", [.. all, ("Expiry.hyaluronidase", "soon")])));
        Assert.Equal(0, await InDatabase(db => db.KitChecks.CountAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Send(mara, page + "/Kit", [.. all, ("Expiry.hyaluronidase", "2032-01-31")])).StatusCode);
        Assert.Contains("Checked today by Dr mara", await mara.GetStringAsync(page + "/Kit"));
        // What a mark such as "S21, seen, grade C" means stands on the page that shows it.
        foreach (var (address, marks) in new[] { (page, "grade D: case series"), (page + "/Kit", "grade C: consensus or guideline.*S21: King M") })
            Assert.Matches($"(?s)What the marks of a source mean.*{marks}", await Text(await mara.GetAsync(address)));
        portal.Clock.Advance(TimeSpan.FromDays(1));
        Assert.Equal(1, await InDatabase(db => db.KitChecks.CountAsync()));
    }

    [Fact]
    public async Task Another_clinics_plan_is_not_found()
    {
        await Send(mara, page, Line(0));
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "jonas");
        foreach (var address in new[] { page, page + "/Kit" }) Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(address)).StatusCode);
        await HandOver(theirs, page + "/Accept");
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(page + "/Accept")).StatusCode);
    }
}
