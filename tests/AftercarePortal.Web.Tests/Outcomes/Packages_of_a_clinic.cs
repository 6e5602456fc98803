using System.Net;
using System.Text;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using PdfSharp.Pdf;
using PdfSharp.Pdf.IO;
using Xunit;

namespace AftercarePortal.Web.Tests.Outcomes;

/// <summary>A clinic that adopts a list with packages.</summary>
public sealed class Packages_of_a_clinic : IAsyncLifetime
{
    private const string Three = "three syringes of CaHA filler for jaw and chin";
    private Portal_with_staff portal = null!;
    private HttpClient lead = null!, desk = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        lead = await portal.SignedIn(clinic, "lea", StaffRole.PracticeLead);
        desk = await portal.SignedIn(clinic, "mara");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task Adopt(string list)
    {
        var page = await lead.GetStringAsync("/Settings");
        string Now(string id) => WebUtility.HtmlDecode(Regex.Match(page, $"id=\"{id}\" name=\"[^\"]*\" value=\"([^\"]*)\"").Groups[1].Value);
        var kept = await Portal_with_staff.Post(lead, "/Settings", page,
            ("Form.Name", Now("Name")), ("Form.Zone", Now("Zone")), ("Form.EmergencyNumber", Now("Emergency")), ("Form.ClinicLine", Now("Line")), ("Form.QuietFrom", Now("From")), ("Form.QuietTo", Now("To")),
            ("Form.PriceList", list), ("Form.RangesHold", Now("RangesHold")));
        Assert.Contains("Kept.", await kept.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Are_told_to_patient_and_staff_kept_with_the_quote_and_charged_for_what_was_used()
    {
        await Adopt("wrenfold-prices.v2");
        var course = new Course_of(portal, clinic, desk, "Ada Quill", 1);
        var shown = WebUtility.HtmlDecode(await course.Quoted(["jaw-body", "chin"], strength: "strong"));
        Assert.Matches($@"Package: {Three}, 1,650 USD\. It is charged where that much is needed and it costs less\. That is so in about \d+ in 100", shown);
        using var browser = portal.Browser();
        using var pdf = PdfReader.Open(new MemoryStream(await browser.GetByteArrayAsync($"{course.Person.Link}/pdf")), PdfDocumentOpenMode.Import);
        Assert.Contains("Package: three syringes", string.Concat(pdf.Pages.Cast<PdfPage>().Select(p => Encoding.Latin1.GetString(p.Contents.CreateSingleContent().Stream.UnfilteredValue))), StringComparison.Ordinal);
        var quote = (await course.Person.InClinic(db => db.FirstRangeOf(course.IntakeId, default)))!;
        var package = Assert.Single(quote.ShownRange().Packages, p => p.Id == "lower-face-three");
        Assert.Contains(Three, WebUtility.HtmlDecode(await desk.GetStringAsync($"/Review/{course.IntakeId}")), StringComparison.Ordinal);

        // Another list is adopted meanwhile: the quote stays as it was.
        await Adopt("wrenfold-prices.v1");
        Assert.Contains($"Package: {Three}, 1,650 USD", WebUtility.HtmlDecode(await desk.GetStringAsync($"/Review/Quote/{quote.Id}")), StringComparison.Ordinal);
        Assert.Equal((3, 165000, "tres jeringas de relleno de CaHA para mandíbula y mentón"), (package.Units, package.Price.Minor, package.Names["es"]));

        await course.Invited();
        await course.Treated(("JawBody", "Left", 1.60), ("JawBody", "Right", 1.60), ("Chin", "Midline", 1.00));
        await Portal_with_staff.Send(lead, "/Outcomes/Cases", ("IntakeId", $"{course.IntakeId}"), ("Sessions", "3"));
        // 4.20 mL are three syringes, charged as the package; three sessions as theirs: 1,650 and 810 with the fee of 50, by the list of the quote.
        Assert.Contains("Came to 2,510 USD", WebUtility.HtmlDecode(await lead.GetStringAsync("/Outcomes/Cases")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Two_records_of_one_day_are_one_visit_and_each_product_opens_its_own_syringe()
    {
        await Adopt("wrenfold-prices.v2");
        var course = new Course_of(portal, clinic, desk, "Bo Fenn", 2);
        await course.Quoted(["jaw-body", "chin"]);
        await course.Invited();
        await course.Treated(("JawBody", "Left", 0.70), ("JawBody", "Right", 0.70));
        await course.Treated(desk, "CaHA filler", "Another demo CaHA", ("Chin", "Midline", 0.15));
        await Portal_with_staff.Send(lead, "/Outcomes/Cases", ("IntakeId", $"{course.IntakeId}"), ("Sessions", "0"));
        var page = WebUtility.HtmlDecode(await lead.GetStringAsync("/Outcomes/Cases"));
        // 1.55 mL would be one syringe of one product, and are two of two; regions of both records are compared.
        Assert.Contains("Came to 1,250 USD", page, StringComparison.Ordinal);
        Assert.Contains("used 1.55 mL", page, StringComparison.Ordinal);
        Assert.Contains("1 visit.", page, StringComparison.Ordinal);
        await course.Person.RunDueJobs();
        Assert.Equal(1, (await course.Person.InClinic(db => db.ClinicFigures.OrderByDescending(f => f.Number).FirstAsync())).Cases);
    }
}
