using System.ComponentModel;
using System.Diagnostics;
using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Testing;
using AftercarePortal.Web.Documents;
using AftercarePortal.Web.Tests.Documents;
using AftercarePortal.Web.Tests.Outcomes;
using AftercarePortal.Web.Tests.Staff;
using PdfSharp.Drawing;
using PdfSharp.Pdf;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Treatment;

/// <summary>The PDFs as programs see them that did not write them. No checker of the whole of PDF/UA was to be had: what these can tell is less than conformance.</summary>
public sealed partial class Printed_sheets_in_other_readers : IAsyncLifetime
{
    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("aftercare-pdf-");
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Course_of course = null!;
    private string record = "";

    public async Task InitializeAsync()
    {
        portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        course = new Course_of(portal, clinic, desk, "Person A", 1);
        await course.Quoted(["jaw-body"]);
        await course.Invited();
        record = await course.JawTreated(0.50);
        // Long words and another script: what a simple writer of PDF breaks on.
        await Send(desk, record, ("Text", string.Concat(Enumerable.Repeat("Ñandú, bruise on the left ", 300))));
        await portal.FilledByPatient(desk, "mara", $"/Consent/{course.PatientId}/lower-face", ("TypedName", "Person A"), ("Agrees", "true"));
        await Send(desk, $"/Treatment/Plan/{course.PatientId}", ("Form.Lines[0].Region", "JawBody"), ("Form.Lines[0].Side", "Left"), ("Form.Lines[0].Product", "CaHA filler"), ("Form.Lines[0].Amount", "0.5"));
        await portal.FilledByPatient(desk, "mara", $"/Treatment/Plan/{course.PatientId}/Accept", ("TypedName", "Person A"), ("Agrees", "true"));
    }

    public async Task DisposeAsync()
    {
        await portal.DisposeAsync();
        folder.Delete(recursive: true);
    }

    [Fact]
    [Source("qpdf manual, option --check: structure, cross-reference table and streams", at: "exit status 0: no errors and no warnings")]
    [Source("ISO 14289-1 (PDF/UA-1), as far as pdfinfo of poppler tells: tagged, titled, structure tree", at: "from memory, unchecked")]
    [Source("ISO 14289-1:2014 (PDF/UA-1), clauses 5, 7.1 to 7.5, 7.15, 7.16, 7.18.3 and 7.21 as far as a machine can check them on the output of qpdf --json; ISO 32000-1, 14.6.1", at: "from memory, unchecked; Pdf_structure names the clause of each check")]
    public async Task Each_is_sound_tagged_titled_has_headings_and_paragraphs_and_breaks_no_rule_of_accessible_PDF_that_can_be_checked()
    {
        var consent = ConsentLink().Match(await desk.GetStringAsync($"/Consent/{course.PatientId}")).Value;
        var plan = AcceptedLink().Match(await desk.GetStringAsync($"/Treatment/Plan/{course.PatientId}")).Value;
        Assert.All([consent, plan], found => Assert.NotEqual("", found));
        var link = course.Person.At[..course.Person.At.LastIndexOf('/')];
        foreach (var (browser, address) in new[]
                 {
                     (desk, record + "/Pdf"), (desk, record + "/Sheet?language=en"), (desk, record + "/Sheet?language=es"), (desk, record + "/AdverseEvent"), (desk, consent + "/Pdf"), (desk, plan), (portal.Browser(), link + "/pdf"),
                 })
        {
            var answer = await browser.GetAsync(address);
            Assert.True(answer.StatusCode is HttpStatusCode.OK && answer.Content.Headers.ContentType!.MediaType == "application/pdf", $"{address}: {answer.StatusCode}");
            var file = Path.Combine(folder.FullName, "sheet.pdf");
            await File.WriteAllBytesAsync(file, await answer.Content.ReadAsByteArrayAsync());

            var (code, checkedWords) = await Run("qpdf", "--check", file);
            Assert.True(code == 0, $"{address}: qpdf --check ended with {code}: {checkedWords}");
            var (_, about) = await Run("pdfinfo", file);
            Assert.Matches(@"(?m)^Tagged:\s+yes", about);
            Assert.Matches(@"(?m)^Title:\s+\S", about);
            Assert.DoesNotMatch(@"(?m)^Encrypted:\s+yes", about);
            Assert.Matches(@"(?m)^Page size:\s+59[45]\S* x 84[12]\S* pts \(A4\)", about);
            var (_, tree) = await Run("pdfinfo", "-struct-text", file);
            Assert.Contains("H1", tree);
            Assert.Contains("H2", tree);
            Assert.Matches(@"(?m)^\s+P\b", tree);
            Assert.DoesNotContain("Syntax Error", tree);
            Assert.Equal([], (await Structure(file)).Select(fault => $"{address}: {fault}"));
        }
    }

    [Fact]
    public async Task A_consent_and_a_plan_say_who_handed_the_screen_over()
    {
        foreach (var address in new[] { ConsentLink().Match(await desk.GetStringAsync($"/Consent/{course.PatientId}")).Value + "/Pdf", AcceptedLink().Match(await desk.GetStringAsync($"/Treatment/Plan/{course.PatientId}")).Value })
        {
            var file = Path.Combine(folder.FullName, "signed.pdf");
            await File.WriteAllBytesAsync(file, await desk.GetByteArrayAsync(address));
            Assert.Matches(@"handed\s+over\s+by\s+Dr\s+mara", (await Run("pdftotext", file, "-")).Words);
        }
    }

    [Fact]
    public async Task The_same_checks_find_what_a_plain_PDF_lacks()
    {
        PrintFont.Use();
        using var plain = new PdfDocument();
        plain.Options.CompressContentStreams = false;
        using (var page = XGraphics.FromPdfPage(plain.AddPage())) page.DrawString("words", new XFont(PrintFont.Family, 12), XBrushes.Black, 50, 50);
        var file = Path.Combine(folder.FullName, "plain.pdf");
        plain.Save(file);
        var found = await Structure(file);
        foreach (var clause in new[] { "5:", "7.1: MarkInfo", "7.1: the title", "7.1: there is no structure", "7.2:", "7.4.2:", "7.1: page 1: text is neither" }) Assert.Contains(found, fault => fault.StartsWith(clause, StringComparison.Ordinal));
    }

    private static async Task<IReadOnlyList<string>> Structure(string file) => new Pdf_structure((await Run("qpdf", "--json=2", "--json-stream-data=inline", "--decode-level=none", file)).Words).Faults();

    private static async Task<(int Code, string Words)> Run(string tool, params string[] arguments)
    {
        try
        {
            using var run = Process.Start(new ProcessStartInfo(tool, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
            var (said, complained) = (run.StandardOutput.ReadToEndAsync(), run.StandardError.ReadToEndAsync());
            await run.WaitForExitAsync();
            return (run.ExitCode, await said + await complained);
        }
        catch (Win32Exception)
        {
            Assert.Fail($"NOT CHECKED: {tool} is not installed. On Debian, as root: apt-get install qpdf poppler-utils");
            throw;
        }
    }

    [GeneratedRegex("/Treatment/Plan/Accepted/[0-9a-f-]{36}/Pdf")]
    private static partial Regex AcceptedLink();

    [GeneratedRegex("/Consent/Signed/[0-9a-f-]{36}")]
    private static partial Regex ConsentLink();
}
