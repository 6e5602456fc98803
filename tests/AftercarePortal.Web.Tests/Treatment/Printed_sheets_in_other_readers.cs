using System.ComponentModel;
using System.Diagnostics;
using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Testing;
using AftercarePortal.Web.Tests.Outcomes;
using AftercarePortal.Web.Tests.Staff;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Treatment;

/// <summary>The PDFs as programs see them that did not write them. No checker of the whole of PDF/UA was to be had: what these two can tell is less than conformance.</summary>
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
        await Send(desk, $"/Consent/{course.PatientId}/lower-face", ("TypedName", "Person A"), ("Agrees", "true"), ("Explained", "true"));
    }

    public async Task DisposeAsync()
    {
        await portal.DisposeAsync();
        folder.Delete(recursive: true);
    }

    [Fact]
    [Source("qpdf manual, option --check: structure, cross-reference table and streams", at: "exit status 0: no errors and no warnings")]
    [Source("ISO 14289-1 (PDF/UA-1), as far as pdfinfo of poppler tells: tagged, titled, structure tree", at: "from memory, unchecked")]
    public async Task Each_is_sound_tagged_titled_and_has_headings_and_paragraphs()
    {
        var consent = ConsentLink().Match(await desk.GetStringAsync($"/Consent/{course.PatientId}")).Value;
        Assert.NotEqual("", consent);
        var link = course.Person.At[..course.Person.At.LastIndexOf('/')];
        foreach (var (browser, address) in new[]
                 {
                     (desk, record + "/Pdf"), (desk, record + "/Sheet?language=en"), (desk, record + "/Sheet?language=es"), (desk, record + "/AdverseEvent"), (desk, consent + "/Pdf"), (portal.Browser(), link + "/pdf"),
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
        }
    }

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

    [GeneratedRegex("/Consent/Signed/[0-9a-f-]{36}")]
    private static partial Regex ConsentLink();
}
