using System.Net;
using System.Text;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Treatment;

public sealed class Signing_a_treatment_record
{
    private static (string, string)[] Line(int i, string lot = "D-114", string expiry = "2031-06-30", string amount = "0.35", string product = "CaHA filler", string region = "JawAngle") =>
    [
        ($"Lines[{i}].Region", region), ($"Lines[{i}].Side", "Left"), ($"Lines[{i}].Product", product), ($"Lines[{i}].ProductName", "Demo CaHA 1.5 mL"),
        ($"Lines[{i}].Lot", lot), ($"Lines[{i}].Expiry", expiry), ($"Lines[{i}].Amount", amount), ($"Lines[{i}].Plane", "Supraperiosteal"), ($"Lines[{i}].Device", "25 G cannula"),
    ];

    private static (string, string)[] Form(params (string, string)[][] lines) => [("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper"), .. lines.SelectMany(l => l)];

    private static async Task<T> InDatabase<T>(Portal_with_staff portal, Guid clinic, Func<PortalDb, Task<T>> read)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    [Fact]
    public async Task It_keeps_the_record_its_placements_and_one_job_that_plans_the_aftercare()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var signed = await Send(browser, $"/Treatment/Record/{patient}",
            Form(Line(0), [("Lines[1].Region", "")], Line(2, amount: "12,5", product: "botulinum toxin type A", region: "Platysma")));
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);

        var treatment = await InDatabase(portal, clinic, db => db.Treatments.Include(t => t.Placements.OrderBy(p => p.Ordinal)).SingleAsync());
        Assert.Equal(("Dr mara", patient), (treatment.SignedBy, treatment.PatientId));
        Assert.Equal([(35, null), (null, 125)], treatment.Placements.Select(p => (p.HundredthsMl, p.TenthsUnits)));
        var job = await InDatabase(portal, clinic, db => db.Jobs.SingleAsync(j => j.Kind != "learn-figures"));
        Assert.Equal(("plan-aftercare", treatment.Id.ToString(), clinic), (job.Kind, job.Subject, job.ClinicId));
        Assert.Contains("0.35 mL", await browser.GetStringAsync(signed.Headers.Location));
    }

    [Fact]
    public async Task It_is_offered_for_the_clinics_own_patients()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var (_, foreign) = await portal.Clinic("Another invented clinic", 1);
        var html = await (await portal.SignedIn(clinic, "mara")).GetStringAsync("/Treatment/Record");
        Assert.Contains($"/Treatment/Record/{patient}", html);
        Assert.DoesNotContain(foreign.ToString(), html);
    }

    [Fact]
    public async Task The_same_form_sent_twice_is_signed_once()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var page = $"/Treatment/Record/{patient}";
        var html = await browser.GetStringAsync(page);
        var both = await Task.WhenAll(Post(browser, page, html, Form(Line(0))), Post(browser, page, html, Form(Line(0))));
        Assert.All(both, r => Assert.Equal(HttpStatusCode.Redirect, r.StatusCode));
        Assert.Equal(1, await InDatabase(portal, clinic, db => db.Treatments.CountAsync()));
        Assert.Equal(2, await InDatabase(portal, clinic, db => db.Jobs.CountAsync()));         // the aftercare, and what the record teaches
    }

    [Theory]
    [InlineData("", "2031-06-30", "0.35", "CaHA filler", "JawAngle", "give the lot")]
    [InlineData("D-114", "2031-05-13", "0.35", "CaHA filler", "JawAngle", "expired on the day")]
    [InlineData("D-114", "", "0.35", "CaHA filler", "JawAngle", "give the expiry date")]
    [InlineData("D-114", "2031-06-30", "35", "CaHA filler", "JawAngle", "0.01 to 20.00 mL")]
    [InlineData("D-114", "2031-06-30", "0", "CaHA filler", "JawAngle", "0.01 to 20.00 mL")]
    [InlineData("D-114", "2031-06-30", "0.355", "CaHA filler", "JawAngle", "0.01 to 20.00 mL")]
    [InlineData("D-114", "2031-06-30", "100.1", "botulinum toxin type A", "Chin", "0.1 to 100.0 units")]
    [InlineData("D-114", "2031-06-30", "0.35", "HA filler", "Platysma", "botulinum toxin type A only")]
    public async Task It_refuses_with_its_reason_and_keeps_what_was_typed(string lot, string expiry, string amount, string product, string region, string reason)
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var refused = await Send(browser, $"/Treatment/Record/{patient}", Form(Line(0, lot, expiry, amount, product, region)));
        var html = await refused.Content.ReadAsStringAsync();
        Assert.Equal(HttpStatusCode.OK, refused.StatusCode);
        Assert.Contains("Placement 1: ", html);
        Assert.Contains(reason, html);
        Assert.Contains("value=\"25 G cannula\"", html);
        Assert.Contains($"value=\"{amount}\"", html);
        Assert.Matches($"<option value=\"{region}\"[^>]*selected", html);
        Assert.Equal(0, await InDatabase(portal, clinic, db => db.Treatments.CountAsync()));
        Assert.Equal(0, await InDatabase(portal, clinic, db => db.Jobs.CountAsync()));
    }

    [Fact]
    public async Task A_form_with_a_line_that_cannot_be_reached_is_sent_back_instead_of_losing_it()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        Assert.Equal(HttpStatusCode.BadRequest, (await Send(browser, $"/Treatment/Record/{patient}", Form(Line(0), Line(2)))).StatusCode);
        Assert.Equal(0, await InDatabase(portal, clinic, db => db.Treatments.CountAsync()));
    }

    [Fact]
    public async Task More_lines_signs_nothing_and_keeps_what_was_typed()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var page = $"/Treatment/Record/{patient}";
        var html = await browser.GetStringAsync(page);
        var more = await (await Post(browser, page + "?handler=More", html, Form(Line(0), [("Lines[1].Region", ""), ("Lines[2].Region", ""), ("Lines[3].Region", "")]))).Content.ReadAsStringAsync();
        Assert.Contains("Placement 5", more);
        Assert.Contains("value=\"D-114\"", more);
        Assert.Equal(0, await InDatabase(portal, clinic, db => db.Treatments.CountAsync()));
    }

    [Fact]
    public async Task Another_clinics_record_sheet_and_patient_are_not_found()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var ours = await portal.SignedIn(clinic, "mara");
        var record = (await Send(ours, $"/Treatment/Record/{patient}", Form(Line(0)))).Headers.Location!.OriginalString;
        Assert.Equal(HttpStatusCode.OK, (await ours.GetAsync(record)).StatusCode);

        var theirs = await portal.SignedIn(other, "jonas");
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(record)).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(record + "/Sheet")).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync($"/Treatment/Record/{patient}")).StatusCode);
        var token = await theirs.GetStringAsync("/Staff/SignOut");
        Assert.Equal(HttpStatusCode.NotFound, (await Post(theirs, record, token, ("AddendumId", Guid.NewGuid().ToString()), ("Text", "not mine"))).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await Post(theirs, $"/Treatment/Record/{patient}", token, [("RecordId", Guid.NewGuid().ToString()), .. Form(Line(0))])).StatusCode);
    }

    [Fact]
    public async Task Afterwards_only_addenda_can_be_written()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var record = (await Send(browser, $"/Treatment/Record/{patient}", Form(Line(0)))).Headers.Location!.OriginalString;
        await Send(browser, record, ("Text", "The lot is D-115 <b>"));
        var html = await browser.GetStringAsync(record);
        Assert.Contains("The lot is D-115 &lt;b&gt;", html);
        Assert.Contains("Lot D-114", html);

        foreach (var change in new Action<PortalDb>[]
                 {
                     db => db.Entry(db.Treatments.Single()).Property(t => t.SignedBy).CurrentValue = "somebody else",
                     db => db.Entry(db.Placements.Single()).Property(p => p.Lot).CurrentValue = "D-115",
                     db => db.Entry(db.Addenda.Single()).Property(a => a.Text).CurrentValue = "other words",
                     db => db.Remove(db.Addenda.Single()),
                     db => db.Remove(db.Placements.Single()),
                 })
            await Assert.ThrowsAsync<InvalidOperationException>(() => InDatabase(portal, clinic, db =>
            {
                change(db);
                return db.SaveChangesAsync();
            }));
        Assert.Equal("D-114", await InDatabase(portal, clinic, db => db.Placements.Select(p => p.Lot).SingleAsync()));
    }

    [Fact]
    public async Task Its_sheet_is_a_tagged_PDF_with_the_emergency_number_and_the_clinics_line()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var record = (await Send(browser, $"/Treatment/Record/{patient}", Form(Line(0)))).Headers.Location!.OriginalString;
        var sheet = await browser.GetAsync(record + "/Sheet");
        Assert.Equal("application/pdf", sheet.Content.Headers.ContentType!.MediaType);
        var bytes = await sheet.Content.ReadAsByteArrayAsync();
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(bytes), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        var catalog = file.Internals.Catalog.Elements;
        Assert.NotNull(catalog.GetDictionary("/StructTreeRoot"));
        Assert.True(catalog.GetDictionary("/MarkInfo")!.Elements.GetBoolean("/Marked"));
        Assert.Equal("en", catalog.GetString("/Lang"));
        var drawn = Encoding.Latin1.GetString(file.Pages[0].Contents.CreateSingleContent().Stream.UnfilteredValue);
        Assert.Contains("Emergency number: 911. The clinic's line: +12125550100.", drawn);
        Assert.StartsWith("%PDF", Encoding.ASCII.GetString(bytes, 0, 4));
    }

    [Fact]
    public async Task The_sheet_is_in_the_patients_language_as_page_and_as_tagged_PDF()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var record = (await Send(browser, $"/Treatment/Record/{patient}", Form(Line(0)))).Headers.Location!.OriginalString;
        Assert.Contains("Ring at once", await browser.GetStringAsync(record + "/SheetPage"));
        await InDatabase(portal, clinic, async db =>
        {
            (await db.Patients.SingleAsync(p => p.Id == patient)).Language = "es";
            return await db.SaveChangesAsync();
        });
        var page = WebUtility.HtmlDecode(await browser.GetStringAsync(record + "/SheetPage"));
        Assert.Contains("<div lang=\"es\">", page);
        Assert.Contains("Llame enseguida al 911", page);
        Assert.Contains("ángulo de la mandíbula, izquierda", page);
        Assert.Contains("radiografías", page);
        Assert.DoesNotContain("párpados", page);
        Assert.DoesNotContain("The settings say", page);
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await browser.GetByteArrayAsync(record + "/Sheet")), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        Assert.Equal("es", file.Internals.Catalog.Elements.GetString("/Lang"));
        Assert.NotNull(file.Internals.Catalog.Elements.GetDictionary("/StructTreeRoot"));
        using var english = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await browser.GetByteArrayAsync(record + "/Sheet?language=en")), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        Assert.Equal("en", english.Internals.Catalog.Elements.GetString("/Lang"));
    }

    [Fact]
    public async Task The_sheets_page_warns_when_the_settings_hold_another_number_than_the_country()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var record = (await Send(browser, $"/Treatment/Record/{patient}", Form(Line(0)))).Headers.Location!.OriginalString;
        await InDatabase(portal, clinic, async db =>
        {
            (await db.Clinics.SingleAsync()).EmergencyNumber = "999";
            return await db.SaveChangesAsync();
        });
        var page = await browser.GetStringAsync(record + "/SheetPage");
        Assert.Contains("The settings say 999", page);
        Assert.Contains("Emergency number: 999.", page);
    }
}
