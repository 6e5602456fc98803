using System.Net;
using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Treatment.Plan;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
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
        Assert.Contains("expired on 2031-05-13. Do not start", refused);
        Assert.Contains("Hyaluronidase, as much as the clinic's protocol asks for: not ticked", refused);
        Assert.Contains("give the last day", await Text(await Send(mara, page + "/Kit", [.. all, ("Expiry.hyaluronidase", "soon")])));
        Assert.Equal(0, await InDatabase(db => db.KitChecks.CountAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Send(mara, page + "/Kit", [.. all, ("Expiry.hyaluronidase", "2032-01-31")])).StatusCode);
        Assert.Contains("Checked today by Dr mara", await mara.GetStringAsync(page + "/Kit"));
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
