using System.Net;
using System.Text;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Tests.Outcomes;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using PdfSharp.Pdf;
using PdfSharp.Pdf.IO;
using Xunit;

namespace AftercarePortal.Web.Tests.Settings;

/// <summary>One clinic that first promises 8 in 10, then 9 in 10.</summary>
public sealed class Choosing_what_ranges_hold : IAsyncLifetime
{
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

    private async Task Promise(string hold)
    {
        var page = await lead.GetStringAsync("/Settings");
        string Now(string id) => WebUtility.HtmlDecode(Regex.Match(page, $"id=\"{id}\" name=\"[^\"]*\" value=\"([^\"]*)\"").Groups[1].Value);
        var kept = await Portal_with_staff.Post(lead, "/Settings", page,
            ("Form.Name", Now("Name")), ("Form.Zone", Now("Zone")), ("Form.EmergencyNumber", Now("Emergency")), ("Form.ClinicLine", Now("Line")), ("Form.QuietFrom", Now("From")), ("Form.QuietTo", Now("To")),
            ("Form.PriceList", "wrenfold-prices.v1"), ("Form.RangesHold", hold));
        Assert.Contains("Kept.", await kept.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_next_range_holds_what_the_clinic_promises_and_earlier_ones_keep_what_they_were_made_with()
    {
        Course_of first = new(portal, clinic, desk, "Ada Quill", 1), next = new(portal, clinic, desk, "Bo Fenn", 2);
        Assert.Contains("at least 8 in 10 totals like this", WebUtility.HtmlDecode(await first.Quoted(["jaw-body", "chin"])), StringComparison.Ordinal);
        await Promise("90");
        var shown = WebUtility.HtmlDecode(await next.Quoted(["jaw-body", "chin"]));
        Assert.Contains("at least 9 in 10 totals like this", shown, StringComparison.Ordinal);
        Assert.Contains("In about 9 in 10 cases", shown, StringComparison.Ordinal);
        using var browser = portal.Browser();
        using var pdf = PdfReader.Open(new MemoryStream(await browser.GetByteArrayAsync($"{next.Person.Link}/pdf")), PdfDocumentOpenMode.Import);
        Assert.Contains("In about 9 in 10 cases", string.Concat(pdf.Pages.Cast<PdfPage>().Select(p => Encoding.Latin1.GetString(p.Contents.CreateSingleContent().Stream.UnfilteredValue))), StringComparison.Ordinal);
        var quotes = await first.Person.InClinic(db => db.Quotes.OrderBy(q => q.MadeAt).ThenBy(q => q.Id).ToListAsync());
        Assert.Equal([0.8, 0.9], quotes.Select(q => q.ShownRange().Promised));
        var (eight, nine) = (quotes[0].Forecasts()[^1], quotes[1].Forecasts()[^1]);
        Assert.Equal(eight.Ml, nine.Ml);
        Assert.Equal((eight.Ml[9], eight.Ml[89], nine.Ml[4], nine.Ml[94]), (eight.Lower, eight.Upper, nine.Lower, nine.Upper));
        Assert.InRange(quotes[1].ShownRange().MassInside, 0.9m, 1);
        var (then, now) = (await desk.GetStringAsync($"/Review/Quote/{quotes[0].Id}"), await desk.GetStringAsync($"/Review/Quote/{quotes[1].Id}"));
        Assert.Contains("Expected, in 8 in 10 cases", then, StringComparison.Ordinal);
        Assert.Contains("In about 8 in 10 cases", then, StringComparison.Ordinal);
        Assert.Contains("Expected, in 9 in 10 cases", now, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_change_is_kept_with_who_and_what_it_was()
    {
        await Promise("90");
        await Promise("85");
        var page = WebUtility.HtmlDecode(await lead.GetStringAsync("/Settings"));
        Assert.Matches(@"Dr lea, \d+ \w+ \d{4}, \d\d:\d\d: Totals of 100 a price range is to hold: 90, then 85", page);
        Assert.Contains("Totals of 100 a price range is to hold: 80, then 90", page);
        Assert.Equal(["Before the first change", "Dr lea", "Dr lea"], await new Course_of(portal, clinic, desk, "", 0).Person.InClinic(db => db.ClinicChanges.OrderBy(c => c.ChangedAt).Select(c => c.ChangedBy).ToListAsync()));
    }

    [Fact]
    public async Task Outcomes_judges_each_range_by_the_share_it_promised()
    {
        // 4 mL a side is far outside whatever was promised; what is used lies inside.
        await Treated(0, 0.50);
        await Treated(1, 4.00);
        await Promise("50");
        await Treated(2, 0.50);
        await Treated(3, 4.00);
        for (var i = 4; i < 10; i++) await Treated(i, 0.50);
        var page = WebUtility.HtmlDecode(await lead.GetStringAsync("/Outcomes"));
        Assert.Contains("Amounts: 56 in 100, on average of what was promised, should lie inside", page, StringComparison.Ordinal);
        Assert.Contains("<th scope=\"row\">5 in 10</th><td>7</td><td>8</td>", page, StringComparison.Ordinal);
        Assert.Contains("<th scope=\"row\">8 in 10</th><td>1</td><td>2</td>", page, StringComparison.Ordinal);
        Assert.Contains("The next ranges promise to hold 5 in 10 totals", page, StringComparison.Ordinal);
        Assert.Contains("wider for 5 in 10 to hold", page, StringComparison.Ordinal);
        var cases = await new Course_of(portal, clinic, desk, "", 0).Person.InClinic(db => db.Quotes.CountAsync());
        Assert.Equal(10, cases);
        var lines = (await lead.GetStringAsync("/Outcomes/cases.csv")).Split("\r\n").Where(l => l.Contains(",all,mL,", StringComparison.Ordinal)).ToList();
        Assert.Equal(2, lines.Count(l => l.Contains(",all,mL,0.8,", StringComparison.Ordinal)));
        Assert.Equal(8, lines.Count(l => l.Contains(",all,mL,0.5,", StringComparison.Ordinal)));
        // Interval score: width, and 2 / (1 - promised) times what it missed by: ten times for 0.8, four times for 0.5.
        foreach (var fields in lines.Select(l => l.Split(',')).Where(f => f.Contains("no")))
        {
            double Number(int i) => double.Parse(fields[i], System.Globalization.CultureInfo.InvariantCulture);
            var (promised, lower, upper, used, score) = (Number(9), Number(10), Number(11), Number(12), Number(16));
            Assert.Equal(upper - lower + (promised == 0.8 ? 10 : 4) * (used - upper), score, 0.02);
        }
    }

    private async Task Treated(int i, double each)
    {
        var course = new Course_of(portal, clinic, desk, $"Person {(char)('A' + i)}", i);
        await course.Quoted(["jaw-body"]);
        await course.Invited();
        await course.JawTreated(each);
    }
}
