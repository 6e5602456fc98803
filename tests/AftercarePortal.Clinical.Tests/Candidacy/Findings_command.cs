using System.Text;
using System.Text.Json.Nodes;
using AftercarePortal.Web.Commands;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Candidacy;

public sealed class Findings_command
{
    private const string Canonical = "https://aftercareportal.example/fhir/Questionnaire/lower-face|1";

    [Fact]
    public void A_response_becomes_findings_with_reasons_dates_and_sources()
    {
        var (code, output, error) = Run(["--today", "2026-03-10"], Response("in-progress", """
            {"linkId":"birth-date","answer":[{"valueDate":"1991-05-04"}]},
            {"linkId":"recent","answer":[{"valueCoding":{"code":"vaccine"}}]},
            {"linkId":"vaccine-on","answer":[{"valueDate":"2026-03-01"}]}
            """));
        Assert.Equal((0, ""), (code, error));
        var findings = JsonNode.Parse(output)!;
        var vaccine = findings["findings"]!.AsArray().Single(f => f!["rule"]!.GetValue<string>() == "vaccine-recent")!;
        Assert.Equal("lower-face.v1", findings["version"]!.GetValue<string>());
        // The product was not told, so it is doubt, and doubt names no date.
        Assert.True(vaccine["from_doubt"]!.GetValue<bool>());
        Assert.Equal("S52", vaccine["sources"]![0]!["id"]!.GetValue<string>());
        Assert.Contains("a clinician, who decides", findings["caution"]!.GetValue<string>());
    }

    [Fact]
    public void A_date_is_named_when_all_is_known()
    {
        var (_, output, _) = Run(["--today", "2026-03-10"], Response("in-progress", """
            {"linkId":"recent","answer":[{"valueCoding":{"code":"vaccine"}}]},
            {"linkId":"vaccine-on","answer":[{"valueDate":"2026-03-01"}]},
            {"linkId":"wish-product","answer":[{"valueCoding":{"code":"ha-filler"}}]}
            """));
        var vaccine = JsonNode.Parse(output)!["findings"]!.AsArray().Single(f => f!["rule"]!.GetValue<string>() == "vaccine-recent")!;
        Assert.Equal("2026-03-22", vaccine["earliest"]!.GetValue<string>());
        Assert.Equal("2026-03-01", vaccine["because"]![0]!["values"]![0]!.GetValue<string>());
    }

    [Fact]
    public void What_a_clinic_chose_changes_the_finding_and_a_choice_nobody_offers_is_refused()
    {
        var response = Response("in-progress", """
            {"linkId":"recent","answer":[{"valueCoding":{"code":"vaccine"}}]},
            {"linkId":"vaccine-on","answer":[{"valueDate":"2026-03-01"}]},
            {"linkId":"wish-product","answer":[{"valueCoding":{"code":"ha-filler"}}]}
            """);
        var (_, output, _) = Run(["--today", "2026-03-10", "--choose", "vaccine-recent=two-weeks"], response);
        var vaccine = JsonNode.Parse(output)!["findings"]!.AsArray().Single(f => f!["rule"]!.GetValue<string>() == "vaccine-recent")!;
        Assert.Equal(("2026-03-15", "2 weeks after a vaccine"), (vaccine["earliest"]!.GetValue<string>(), vaccine["chosen"]!.GetValue<string>()));
        var (code, _, error) = Run(["--choose", "vaccine-recent=never"], response);
        Assert.Equal(2, code);
        Assert.Contains("this rule offers two-weeks", error);
        Assert.Contains("no rule of that name offers a choice", Run(["--choose", "pregnant=never"], response).Error);
    }

    [Fact]
    public void Without_today_the_callers_date_counts()
    {
        var (code, output, _) = Run([], Response("in-progress", ""));
        Assert.Equal(0, code);
        Assert.Equal("2026-05-06", JsonNode.Parse(output)!["today"]!.GetValue<string>());
    }

    [Fact]
    public void Somebody_under_18_hears_one_thing_only()
    {
        var (_, output, _) = Run(["--today", "2026-03-10"], Response("completed", """{"linkId":"birth-date","answer":[{"valueDate":"2009-01-01"}]}"""));
        var findings = JsonNode.Parse(output)!;
        Assert.True(findings["stops"]!.GetValue<bool>());
        Assert.Equal("2027-01-01", Assert.Single(findings["findings"]!.AsArray())!["earliest"]!.GetValue<string>());
    }

    [Theory]
    [InlineData("{\n  nonsense", "line 2")]
    [InlineData("", "line 1")]
    [InlineData("[]", "not a FHIR QuestionnaireResponse")]
    [InlineData("""{"resourceType":"Patient"}""", "not a FHIR QuestionnaireResponse")]
    [InlineData("""{"resourceType":"QuestionnaireResponse","resourceType":"QuestionnaireResponse"}""", "not readable as JSON")]
    [InlineData("""{"resourceType":"QuestionnaireResponse","status":"entered-in-error","questionnaire":"https://aftercareportal.example/fhir/Questionnaire/lower-face"}""", "status")]
    [InlineData("""{"resourceType":"QuestionnaireResponse","status":"completed","questionnaire":"https://aftercareportal.example/fhir/Questionnaire/lower-face|9"}""", "the answers must be to")]
    public void What_is_no_response_to_this_questionnaire_is_refused(string input, string reason)
    {
        var (code, output, error) = Run([], input);
        Assert.Equal((1, ""), (code, output));
        Assert.Contains(reason, error);
    }

    [Theory]
    [InlineData("""{"linkId":"smokes","answer":[{"valueCoding":{"code":"yes"}}]}""", "item[0]: the questionnaire has no question with the linkId smokes")]
    [InlineData("""{"linkId":"smoking","answer":[{"valueCoding":{"code":"secret words"}}]}""", "item[0].answer[0]: the question smoking needs yes or no")]
    [InlineData("""{"linkId":"smoking"},{"linkId":"smoking"}""", "item[1]: the linkId smoking stands twice")]
    [InlineData("""{"linkId":"birth-date","answer":[{"valueDate":"secret words"}]}""", "item[0].answer[0]: the question birth-date needs a date")]
    [InlineData("""{"linkId":"skin-now","answer":[{"valueCoding":{"code":"none"}},{"valueCoding":{"code":"flare"}}]}""", "cannot stand beside another")]
    [InlineData("""{"answer":[]}""", "item[0]: an item needs a linkId")]
    public void A_wrong_item_is_named_by_its_place_and_never_by_what_was_answered(string item, string reason)
    {
        var (code, output, error) = Run([], Response("in-progress", item));
        Assert.Equal((1, ""), (code, output));
        Assert.Contains(reason, error);
        Assert.DoesNotContain("secret", error);
    }

    [Theory]
    [InlineData("--today")]
    [InlineData("--today", "10.03.2026")]
    [InlineData("--yesterday")]
    public void Wrong_use_shows_how(params string[] args)
    {
        var (code, _, error) = Run(args, "");
        Assert.Equal(2, code);
        Assert.Contains("usage: findings", error);
    }

    [Theory]
    [InlineData("""{"linkId":"wish-words","answer":[{"valueString":"\ud800"}]}""", "item[0].answer[0]: the question wish-words needs words")]
    [InlineData("""{"linkId":"smoking","modifierExtension":[{"url":"x"}],"answer":[{"valueBoolean":true}]}""", "item[0].modifierExtension")]
    [InlineData("""{"linkId":"allergies","answer":[{"valueCoding":{"code":["none"]}}]}""", "item[0].answer[0]: the question allergies needs a valueCoding")]
    [InlineData("""{"linkId":"birth-date","answer":[{"valueDate":19900101}]}""", "item[0].answer[0]: the question birth-date needs a date")]
    [InlineData("""{"linkId":"medicines","answer":{"valueString":"x"}}""", "item[0].answer: this must be a list")]
    [InlineData("""{"linkId":"wish-words","answer":[{"valueString":"a\u0000b"}]}""", "item[0].answer[0]: the question wish-words needs words (valueString, at most 4000 characters, without control characters)")]
    [InlineData("""{"linkId":"wish-words","answer":[{"valueString":7}]}""", "item[0].answer[0]: the question wish-words needs words")]
    [InlineData("""{"linkId":"wish-words","answer":[{"valueString":"   "}]}""", "item[0].answer[0]: the question wish-words needs words")]
    [InlineData("""{"linkId":"smoking","answer":[{"valueString":"yes"}]}""", "item[0].answer[0]: the question smoking needs yes or no")]
    [InlineData("""{"linkId":"smoking","answer":[{"valueBoolean":"true"}]}""", "item[0].answer[0]: the question smoking needs yes or no")]
    [InlineData("""{"linkId":"smoking","answer":[{"valueCoding":{"code":"no"},"valueBoolean":true}]}""", "item[0].answer[0]: the question smoking needs one value, not several at once")]
    [InlineData("""{"linkId":"allergies","answer":[{"valueCoding":{"system":"https://elsewhere.example","code":"latex"}}]}""", "item[0].answer[0]: the question allergies needs a code of the system")]
    [InlineData("""{"linkId":"allergies","answer":[{"valueCoding":{"code":"bee-wasp"}},{"valueCoding":{"code":"bee-wasp"}}]}""", "item[0].answer[1]: this answer to allergies stands twice")]
    [InlineData("""{"linkId":"allergies","answer":[{"valueCoding":{"code":"moonlight"}}]}""", "item[0].answer[0]: the question allergies needs a valueCoding")]
    [InlineData("""{"linkId":"birth-date","answer":[{"valueDate":"2026-02-30"}]}""", "item[0].answer[0]: the question birth-date needs a date")]
    [InlineData("""{"linkId":"birth-date","answer":[{"valueDate":"9999-12-31"}]}""", "item[0].answer[0]: the question birth-date needs a date (valueDate, YYYY-MM-DD) from 1880 to 2199")]
    [InlineData("""{"linkId":"birth-date","answer":[{"valueDate":"1990-01-01T00:00:00Z"}]}""", "item[0].answer[0]: the question birth-date needs a date")]
    [InlineData("""{"linkId":"vaccine-on","answer":[{"valueDate":"2026-03-01"}]}""", "item[0].answer: the question vaccine-on is not asked after the other answers")]
    [InlineData("""{"linkId":"group","item":[{"linkId":"smoking"},{"linkId":"smoking"}]}""", "item[0].item[1]: the linkId smoking stands twice, before at item[0].item[0]")]
    [InlineData("""{"linkId":"smoking","item":[{"linkId":"sex"}]}""", "item[0].item: the question smoking has no questions inside")]
    [InlineData("""{"linkId":7}""", "item[0]: an item needs a linkId")]
    [InlineData("7", "item[0]: an item needs a linkId")]
    [InlineData("""{"linkId":"smoking","answer":[]}""", "item[0].answer: this must be a list with an answer in it")]
    [InlineData("""{"linkId":"smoking","answer":[7]}""", "item[0].answer[0]: an answer is an object")]
    public void A_hostile_item_is_named_and_crashes_nothing(string item, string reason)
    {
        var (code, output, error) = Run([], Response("in-progress", item));
        Assert.Equal((1, ""), (code, output));
        Assert.Contains(reason, error);
    }

    [Fact]
    public void An_oversized_response_too_long_words_and_endless_faults_are_refused_shortly()
    {
        Assert.Contains("longer than", Run([], new string(' ', 1_000_001)).Error);
        Assert.Contains("at most 4000", Run([], Response("in-progress", $$"""{"linkId":"wish-words","answer":[{"valueString":"{{new string('x', 4001)}}"}]}""")).Error);
        var (code, _, error) = Run([], Response("in-progress", string.Join(',', Enumerable.Repeat("""{"linkId":"foreign"}""", 20_000))));
        Assert.Equal(1, code);
        Assert.InRange(error.Split('\n').Length, 10, 60);
        Assert.Contains("line", Run([], string.Concat(Enumerable.Repeat("{\"item\":[", 5000))).Error);
    }

    [Fact]
    public void A_byte_order_mark_is_passed_over_and_a_NUL_outside_a_text_is_no_JSON()
    {
        var response = Response("in-progress", """{"linkId":"smoking","answer":[{"valueBoolean":true}]}""");
        Assert.Equal(Run([], response), Run([], "\uFEFF" + response));
        Assert.Contains("not readable as JSON", Run([], "\0" + response).Error);
        Assert.Contains("half a character", Run([], response.Replace("smoking", "smo\uD800king", StringComparison.Ordinal)).Error);
    }

    // Whichever key comes second may be the one that was meant: an answer must not hang on who reads it.
    [Theory]
    [InlineData("""{"linkId":"smoking","link\u0049d":"sex","answer":[{"valueBoolean":true}]}""")]
    [InlineData("""{"linkId":"smoking","answer":[{"valueBoolean":true,"valueBoolean":false}]}""")]
    [InlineData("""{"linkId":"sex","answer":[{"valueCoding":{"code":"female","display":"x","code":"male"}}]}""")]
    [InlineData("""{"linkId":"smoking","answer":[{"valueBoolean":true}],"extension":[[{"a":1,"b":2,"a":3}]]}""")]
    [InlineData("""{"linkId":"smoking","answer":[{"valueBoolean":true}],"a":0,"b":0,"c":0,"d":0,"e":0,"f":0,"g":0,"h":0,"i":0,"j":0,"k":0,"l":0,"a":0}""")]
    public void A_key_twice_is_found_wherever_it_hides(string item) => Assert.Contains("a key twice", Run([], Response("in-progress", item)).Error);

    [Fact]
    public void Many_keys_and_keys_spelt_by_escape_are_read_like_any_other()
    {
        var plain = Response("in-progress", """{"linkId":"smoking","answer":[{"valueBoolean":true}]}""");
        Assert.Equal(Run([], plain), Run([], plain.Replace("linkId", "link\\u0049d", StringComparison.Ordinal)));
        Assert.Equal(Run([], plain), Run([], plain.Replace("\"linkId\"", string.Concat(Enumerable.Range(0, 20).Select(i => $"\"x{i}\":0,")) + "\"linkId\"", StringComparison.Ordinal)));
    }

    [Fact]
    public void Nesting_deeper_than_any_intake_and_a_key_twice_are_told_as_such()
    {
        var deep = string.Concat(Enumerable.Repeat("""{"linkId":"g","item":[""", 40)) + string.Concat(Enumerable.Repeat("]}", 40));
        Assert.Contains("nesting deeper than 64", Run([], Response("in-progress", deep)).Error);
        Assert.Contains("a key twice", Run([], Response("in-progress", """{"linkId":"smoking","linkId":"sex"}""")).Error);
    }

    [Fact]
    public void A_bad_line_in_the_middle_costs_none_of_the_others()
    {
        var good = Response("in-progress", """{"linkId":"smoking","answer":[{"valueBoolean":true}]}""");
        string[] bad = ["{", "\0", "null", "[[[[", new('[', 5000), good.Replace("smoking", "\uD800", StringComparison.Ordinal), good.Replace("lower-face|1", "lower-face|77", StringComparison.Ordinal), good.Replace("|1", "|1|1", StringComparison.Ordinal)];
        var (code, output, error) = Run(["--lines"], string.Join('\n', bad.SelectMany(b => (string[])[good, b, good])));
        var lines = output.Trim().Split('\n');
        Assert.Equal((1, bad.Length * 3), (code, lines.Length));
        Assert.Equal(bad.Length, lines.Count(l => l.StartsWith("""{"line":""", StringComparison.Ordinal)));
        Assert.Single(lines.Where(l => !l.StartsWith("""{"line":""", StringComparison.Ordinal)).Distinct());
        Assert.Contains($"{bad.Length} lines were wrong", error);
    }

    [Fact]
    public void Many_responses_come_out_line_by_line_in_order_and_a_wrong_one_says_so_in_its_place()
    {
        string Born(int year) => Response("completed", $$"""{"linkId":"birth-date","answer":[{"valueDate":"{{year}}-02-03"}]}""");
        var (code, output, error) = Run(["--today", "2026-03-10", "--lines"], string.Join('\n', Born(1990), "{nonsense", new string('x', 1_000_001), "", Born(2015)));
        var lines = output.Trim().Split('\n').Select(l => JsonNode.Parse(l)!).ToList();
        Assert.Equal(1, code);
        Assert.Contains("2 lines were wrong", error);
        Assert.Equal(4, lines.Count);
        Assert.False(lines[0]["stops"]!.GetValue<bool>());
        Assert.Equal(2, lines[1]["line"]!.GetValue<int>());
        Assert.Contains("longer than", lines[2]["errors"]![0]!.GetValue<string>());
        Assert.True(lines[3]["stops"]!.GetValue<bool>());
    }

    [Fact]
    public void A_month_or_a_year_counts_with_its_last_day_and_never_beyond_today()
    {
        var (_, output, _) = Run(["--today", "2026-03-10"], Response("in-progress", """
            {"linkId":"recent","answer":[{"valueCoding":{"code":"vaccine"}}]},
            {"linkId":"vaccine-on","answer":[{"valueDate":"2026-03"}]},
            {"linkId":"wish-product","answer":[{"valueCoding":{"code":"ha-filler"}}]}
            """));
        Assert.Equal("2026-03-31", JsonNode.Parse(output)!["findings"]!.AsArray().Single(f => f!["rule"]!.GetValue<string>() == "vaccine-recent")!["earliest"]!.GetValue<string>());
    }

    [Fact]
    public void Help_needs_no_input() => Assert.Equal(0, Run(["--help"], "").Code);

    private static string Response(string status, string items) =>
        $$"""{"resourceType":"QuestionnaireResponse","status":"{{status}}","questionnaire":"{{Canonical}}","item":[{{items}}]}""";

    private static (int Code, string Output, string Error) Run(string[] args, string input)
    {
        using var output = new MemoryStream();
        using var error = new StringWriter();
        var code = FindingsCommand.Run(args, new StringReader(input), output, error, CandidacyContent.Folder, new LocalDate(2026, 5, 6));
        return (code, Encoding.UTF8.GetString(output.ToArray()), error.ToString());
    }
}
