using AftercarePortal.Web.Commands;
using AftercarePortal.Web.ContentFiles;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.ContentFiles;

/// <summary>A copy of the content with one line spoilt: the check names file, line and reason, and the portal does not start.</summary>
public sealed class Faulty_content : IDisposable
{
    private readonly Content_copy _copy = new();

    private string _folder => _copy.Folder;

    public void Dispose() => _copy.Dispose();

    [Fact]
    public void Without_a_fault_the_check_says_so()
    {
        var (code, said, faults) = Check();
        Assert.Equal((0, ""), (code, faults));
        Assert.Contains("no faults", said);
    }

    [Theory]
    [InlineData("candidacy", "finding: wait", "finding: maybe")]
    [InlineData("candidacy", "grade: R,", "grade: Z,")]
    [InlineData("replies", "en: zero one", "en: one")]
    [InlineData("triage", "any emergency", "any calm")]
    [InlineData("triage", "tiers: [\"any emergency\"]", "tiers: [\"any emergency\", \"0-3 any urgent\"]")]
    [InlineData("triage", "\"liquid lungsw 8\"", "\"liquid lungsw 8\", \"liquid lungsw 8\"")]
    [InlineData("triage", "coz: because", "white: because")]
    [InlineData("triage", "  numb-patch: numb patch", "  numb-place: numb patch")]
    [InlineData("escalation", "version: 1", "version: first")]
    [InlineData("aftercare", "day: 1", "day: -1")]
    [InlineData("pricing", "currency: USD", "currency: dollars")]
    [InlineData("questionnaires", "\"type\": \"choice\"", "\"type\": \"guess\"")]
    public void A_spoilt_line_is_named_with_its_file_its_line_and_a_reason(string kind, string line, string spoilt)
    {
        var file = Directory.GetFiles(Path.Combine(_folder, kind)).Order(StringComparer.Ordinal)
            .First(f => !f.Contains(".cases.", StringComparison.Ordinal) && File.ReadAllText(f).Contains(line, StringComparison.Ordinal));
        var text = File.ReadAllText(file);
        var at = text.IndexOf(line, StringComparison.Ordinal);
        File.WriteAllText(file, text[..at] + spoilt + text[(at + line.Length)..]);
        var (code, _, faults) = Check();
        Assert.Equal(1, code);
        Assert.Contains($"{Path.GetFileName(file)}:{text[..at].Count(c => c == '\n') + 1}:", faults);
        Assert.Throws<InvalidOperationException>(() => Portal.Build(["--Jobs:Run=false"], b => b.Services.AddSingleton(_ => ContentLibrary.Load(_folder))));
    }

    [Theory]
    [InlineData("candidacy/lower-face.v1.yaml", "    finding: wait", "    findings: wait", "/rules/")]
    [InlineData("escalation/policy.v1.yaml", "not_for:", "no_for:", "/")]
    [InlineData("aftercare/caha-filler.v1.yaml", "kind: safety", "kind: warning", "/steps/0/kind")]
    [InlineData("triage/lower-face.v1.yaml", "concepts:", "concept:", "/")]
    [InlineData("pricing/lower-face-model.v1.yaml", "version: 1", "version: 0", "/version")]
    [InlineData("pages/intake.v1.yaml", "  month-1: { en:", "  month-1: { eng:", "/words/month-1")]
    [InlineData("merging/merging.v1.yaml", "leaves_out: [appointment]", "leaves_out: [check-in]", "/touch_up/leaves_out/0")]
    [InlineData("merging/merging.v1.yaml", "apart_minutes: 60", "apart_minutes: 5", "/apart_minutes")]
    [InlineData("merging/merging.v1.yaml", "  routine: [tip]", "  routine: [joke]", "/held_while_open/routine/0")]
    [InlineData("safety/lower-face.v1.yaml", "    most: 3", "    most: 0", "/limits/0/most")]
    [InlineData("safety/lower-face.v1.yaml", "regions: [jaw angle, jaw body, pre jowl]", "regions: [jaw corner]", "/reminders/0/regions/0")]
    [InlineData("norms/jaw.v1.yaml", "measure: gonial angle", "measure: beauty", "/norms/0/measure")]
    [InlineData("sheet/aftercare.v1.yaml", "id: sight, rings: emergency", "id: sight, rings: nobody", "/signs/0/rings")]
    [InlineData("sheet/aftercare.v1.yaml", "Treated on {date}", "Treated on {day}", "/words/treated/en")]
    [InlineData("emergency-numbers/countries.v1.yaml", "country: CA", "country: US", "/countries")]
    [InlineData("texts/en/reply-crisis.v1.md", "language: en", "lang: en", "/")]
    public void What_does_not_fit_the_schema_of_its_kind_is_named_with_line_and_path(string file, string right, string wrong, string path)
    {
        var at = Path.Combine(_folder, file);
        var text = File.ReadAllText(at);
        Assert.Contains(right, text, StringComparison.Ordinal);
        File.WriteAllText(at, new System.Text.RegularExpressions.Regex(System.Text.RegularExpressions.Regex.Escape(right)).Replace(text, wrong, 1));
        var (code, _, faults) = Check();
        Assert.Equal(1, code);
        Assert.Matches($"{System.Text.RegularExpressions.Regex.Escape(Path.GetFileName(file))}:[0-9]+:[0-9]+: {path}", faults);
    }

    [Theory]
    [InlineData("from_first: [aftercare-photo]", "from_first: [aftercare-fotograph]", "merging.v1.yaml:1:1: /touch_up/from_first/0: No sequence sends this text.")]
    [InlineData("from_first_after_days: 28", "from_first_after_days: 0", "/aftercare-photo: Sent when CaHA filler and CaHA filler was given, it must name one of: ")]
    public void What_a_touch_up_asks_for_is_held_against_the_sequences_and_the_signs_their_texts_must_name(string right, string wrong, string fault)
    {
        var at = Path.Combine(_folder, "merging/merging.v1.yaml");
        Assert.Contains(right, File.ReadAllText(at), StringComparison.Ordinal);
        File.WriteAllText(at, File.ReadAllText(at).Replace(right, wrong, StringComparison.Ordinal));
        var (code, _, faults) = Check();
        Assert.Equal(1, code);
        Assert.Contains(fault, faults);
    }

    [Theory]
    [InlineData("texts/en/page-text.v1.md")]
    [InlineData("texts/es/aftercare-mixed-day.v1.md")]
    [InlineData("candidacy/lower-face.v1.yaml")]
    [InlineData("questionnaires/lower-face.v1.json")]
    public void A_missing_file_is_named(string file)
    {
        File.Delete(Path.Combine(_folder, file));
        var (code, _, faults) = Check();
        Assert.Equal(1, code);
        Assert.Contains(Path.GetFileName(file).Split('.')[0], faults);
    }

    [Theory]
    [InlineData("{ this is: [no yaml")]
    [InlineData("")]
    [InlineData("\0\0\0")]
    public void What_is_no_YAML_at_all_is_a_fault_and_no_crash(string text)
    {
        File.WriteAllText(Path.Combine(_folder, "triage", "lower-face.v1.yaml"), text);
        var (code, _, faults) = Check();
        Assert.Equal(1, code);
        Assert.Contains("lower-face.v1.yaml:", faults);
    }

    [Fact]
    public void A_folder_that_is_not_there_is_said() => Assert.Equal(1, Command.CheckContent(Path.Combine(_folder, "nowhere"), TextWriter.Null, TextWriter.Null));

    private (int Code, string Said, string Faults) Check() => _copy.Check();
}
