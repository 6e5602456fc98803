using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Testing;
using AftercarePortal.Web.Commands;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Range_command
{
    private const string Case = """{"today":"2026-11-25","answers":{"birth-date":"1981-05-04","sex":"female"},"wishes":{"wish-regions":["jaw-angle","chin"],"wish-product":"caha-filler"}}""";

    private const string Numbers = """
        {"nu":null,"s2":1,"s_theta":0.04,"tau_u":0.2,"tau_w":0.15,"tau_e":0.1,"asym_k":[1],"pG":[1],"pB":[1],"pA":[1],"dG":[0],"dB":[0],
         "products":[{"id":"ha-1.0","size":1.0,"tol":0.1,"price":45000,"regions":[{"id":"chin","m":0.0,"sides":1,"v":0.0225}]}],
         "touchup":null,"toxin":[[[0,1.0]]],"toxin_price":0,"sessions":[[1.0]],"session_price":0,"fee":5000,"tax_bp":0,"kmax":30,"smax":40.0}
        """;

    [Fact]
    public void A_case_becomes_a_range_with_lines_reasons_and_a_caution()
    {
        var (code, output, error) = Run([], Case);
        Assert.Equal((0, ""), (code, error));
        var range = JsonNode.Parse(output)!;
        Assert.Equal("lower-face-model.v1", range["model"]!.GetValue<string>());
        Assert.Equal("wrenfold-prices.v1", range["prices"]!.GetValue<string>());
        Assert.True(range["central"]!["from"]!.GetValue<long>() < range["central"]!["to"]!.GetValue<long>());
        Assert.Equal(1, range["atoms"]!.AsArray().Sum(a => a![1]!.GetValue<double>()), 1e-9);
        Assert.NotEmpty(range["lines"]!.AsArray());
        Assert.NotEmpty(range["reasons"]!.AsArray());
        Assert.Contains("not an offer", range["caution"]!.GetValue<string>());
    }

    [Fact]
    public void Prices_and_figures_of_the_case_count()
    {
        const string prices = ""","prices":{"currency":"GBP","fillers":{"caha-filler":{"unit_ml":1.5,"tolerance_ml":0.1,"first":70000}},"fee":0}}""";
        var range = JsonNode.Parse(Run([], Case[..^1] + prices).Output)!;
        Assert.Equal(("GBP", "case-prices.v1"), (range["currency"]!.GetValue<string>(), range["prices"]!.GetValue<string>()));
        Assert.Equal(0, range["atoms"]![0]![0]!.GetValue<long>() % 70000);
    }

    [Fact]
    public void Completed_cases_and_an_examination_of_the_case_count()
    {
        const string more = ""","exam":{"laxity":2,"bone":0,"side_difference":1},"cases":[{"id":"one","on":"2026-10-01","product":"caha-filler","answers":{"birth-date":"1980-01-01","sex":"male"},"amounts":[{"region":"chin","ml":1.4},{"region":"jaw-angle","ml":0.8}],"exam":{"laxity":1}}]}""";
        var (code, output, error) = Run([], Case[..^1] + more);
        Assert.Equal((0, ""), (code, error));
        Assert.Equal(1, JsonNode.Parse(output)!["cases"]!.GetValue<int>());
        Assert.DoesNotContain(JsonNode.Parse(output)!["reasons"]!.AsArray(), r => r!["id"]!.GetValue<string>() == "laxity");
        Assert.Contains("cases.one:", Run([], Case[..^1] + more.Replace("2026-10-01", "2027-10-01")).Error);
        Assert.Contains("not both", Run([], Case[..^1] + ""","cases":[],"figures":{"cases":0,"nu":8,"s2":1,"parameters":[],"mean":[],"covariance":[]}}""").Error);
    }

    [Theory]
    [InlineData("0.5", "5 in 10")]
    [InlineData("0.8", "8 in 10")]
    [InlineData("0.85", "85 in 100")]
    [InlineData("0.95", "95 in 100")]
    public void The_range_holds_the_share_that_is_asked_for(string promised, string says)
    {
        var (code, output, error) = Run([], Case[..^1] + $$""","promised":{{promised}}}""");
        Assert.Equal((0, ""), (code, error));
        var range = JsonNode.Parse(output)!;
        var share = double.Parse(promised, System.Globalization.CultureInfo.InvariantCulture);
        Assert.Equal(share, range["promised"]!.GetValue<double>());
        Assert.Contains($"at least {says} totals like this", range["says"]!.ToJsonString());
        // Both ends by the definition: the smallest totals with so much at or below them, then rounded outwards.
        double below = 0;
        var ends = new List<long>();
        foreach (var atom in range["atoms"]!.AsArray())
        {
            below += atom![1]!.GetValue<double>();
            if ((ends.Count == 0 && below >= 0.5 - share / 2 - 1e-9) || (ends.Count == 1 && below >= 0.5 + share / 2 - 1e-9)) ends.Add(atom[0]!.GetValue<long>());
            if (ends.Count == 1 && below >= 0.5 + share / 2 - 1e-9) ends.Add(atom[0]!.GetValue<long>());
        }

        Assert.InRange(range["central"]!["from"]!.GetValue<long>(), ends[0] - 50_000, ends[0]);
        Assert.InRange(range["central"]!["to"]!.GetValue<long>(), ends[1], ends[1] + 50_000);
        Assert.True(range["mass_inside"]!.GetValue<double>() >= share - 1e-3);
    }

    [Theory]
    [InlineData("0.49")]
    [InlineData("0.96")]
    [InlineData("\"much\"")]
    public void A_share_no_clinic_may_promise_is_refused_by_name(string promised)
    {
        var (code, _, error) = Run([], Case[..^1] + $$""","promised":{{promised}}}""");
        Assert.Equal(1, code);
        Assert.StartsWith("promised: ", error);
    }

    [Fact]
    public void A_missing_price_is_said_in_plain_words()
    {
        var (code, output, _) = Run([], Case[..^1] + ""","prices":{"currency":"USD","fee":0}}""");
        Assert.Equal((0, "We cannot say yet, because the clinic has set no price for CaHA filler."), (code, JsonNode.Parse(output)!["says"]!.GetValue<string>()));
    }

    [Theory]
    [InlineData("""{"answers":{"smokes":"yes"}}""", "answers.smokes:")]
    [InlineData("""{"answers":{"sex":"robot"}}""", "answers.sex:")]
    [InlineData("""{"answers":{"birth-date":"yesterday"}}""", "answers.birth-date:")]
    [InlineData("""{"today":"2026-11-25","answers":{"birth-date":"2027-01-01"}}""", "birth-date:")]
    [InlineData("""{"today":"25 November"}""", "today:")]
    [InlineData("""{"answers":{"wish-product":["caha-filler","ha-filler"]}}""", "answers.wish-product:")]
    [InlineData("""{"answers":{"wish-regions":["chin","not-sure"]}}""", "answers.wish-regions:")]
    [InlineData("""{"answers":{"sex":"male"},"wishes":{"sex":"female"}}""", "wishes.sex:")]
    [InlineData("""{"answers":{"earlier-filler":"no","earlier-filler-when":"longer"}}""", "earlier-filler-when:")]
    [InlineData("""{"answers":{"sex":{"code":"male"}}}""", "answers.sex:")]
    [InlineData("""{"answers":[]}""", "answers:")]
    [InlineData("""{"hurry":true}""", "hurry:")]
    [InlineData("""{"prices":{"currency":"USD","fee":-5}}""", "prices/fee:")]
    [InlineData("""{"prices":{"currency":"USD","fillers":{"caha-filler":{"unit_ml":0,"tolerance_ml":0,"first":1}}}}""", "prices/fillers/caha-filler/unit_ml:")]
    [InlineData("""{"prices":{"currency":"USD","toxin_unit":0}}""", "prices/toxin_unit:")]
    [InlineData("""{"figures":{"cases":1,"nu":0,"s2":1,"parameters":["level"],"mean":[0],"covariance":[[1]]}}""", "figures/nu:")]
    [InlineData("""{"figures":{"cases":1,"nu":8,"s2":1,"parameters":["level"],"mean":[0,1],"covariance":[[1]]}}""", "figures:")]
    [InlineData("""{"answers":{"sex":"male","sex":"female"}}""", "line 1")]
    [InlineData("{", "line 1")]
    [InlineData("[]", "input:")]
    public void Contradictory_or_absurd_input_is_refused_by_field(string input, string field)
    {
        var (code, output, error) = Run([], input);
        Assert.Equal((1, ""), (code, output));
        Assert.Contains(error.Split('\n'), line => line.StartsWith(field, StringComparison.Ordinal));
        Assert.DoesNotContain("robot", error);
    }

    [Fact]
    [Source("closed form Phi(ln(k + 0.1) / 0.367423), R plnorm", at: "one lognormal region, n = 1..3")]
    public void The_input_of_a_vector_becomes_its_figures()
    {
        var (code, output, error) = Run([], Numbers);
        Assert.Equal((0, ""), (code, error));
        Assert.Equal([0.602337, 0.375935, 0.020691], JsonNode.Parse(output)!["syringesFirstVisit"]!["ha-1.0"]!.AsArray().Skip(1).Take(3).Select(p => Math.Round(p!.GetValue<double>(), 4)), (a, b) => Math.Abs(a - b) < 1e-4);
    }

    [Theory]
    [InlineData("\"pG\":[1]", "\"pG\":[0.9]", "pG:")]
    [InlineData("\"nu\":null", "\"nu\":-1", "nu:")]
    [InlineData("\"tau_u\":0.2", "\"tau_u\":-0.2", "tau_u:")]
    [InlineData("\"tau_u\":0.2,", "", "tau_u:")]
    [InlineData("\"size\":1.0", "\"size\":0", "size:")]
    [InlineData("\"sides\":1", "\"sides\":3", "sides:")]
    [InlineData("\"sides\":1", "\"sides\":\"left\"", "products[0].regions[0].sides:")]
    [InlineData("\"tax_bp\":0", "\"tax_bp\":20000", "tax_bp:")]
    [InlineData("\"asym_k\":[1]", "\"asym_k\":[1,2]", "asym_k:")]
    [InlineData("\"fee\":5000", "\"fee\":0.5", "fee:")]
    [InlineData("\"kmax\":30", "\"kmax\":30,\"hurry\":1", "hurry:")]
    [InlineData("\"kmax\":30", "\"kmax\":5000", "kmax:")]
    [InlineData("\"m\":0.0,", "\"m\":1e300,", "m:")]
    [InlineData("\"sessions\":[[1.0]]", "\"sessions\":[[0.5,0.6]]", "sessions:")]
    public void A_wrong_number_of_a_vector_is_refused_by_its_own_name(string from, string to, string field)
    {
        Assert.Contains(from, Numbers);
        var (code, output, error) = Run([], Numbers.Replace(from, to, StringComparison.Ordinal));
        Assert.Equal((1, ""), (code, output));
        Assert.Contains(error.Split('\n'), line => line.StartsWith(field, StringComparison.Ordinal));
    }

    [Fact]
    public void A_file_of_vectors_passes_only_when_every_figure_agrees()
    {
        var figures = JsonNode.Parse(Run([], Numbers).Output)!;
        Assert.Equal(0, Check(figures).Code);
        var wrong = figures.DeepClone();
        wrong["mean"] = wrong["mean"]!.GetValue<double>() * 1.001;
        var (code, output) = Check(wrong);
        Assert.Equal(1, code);
        Assert.Contains("FAIL  invented", output);
        Assert.Contains("mean: differs by 0.00", output);
        Assert.Equal(1, Check(new JsonObject()).Code);
        Assert.Equal(1, Check(new JsonObject { ["priceAtoms"] = "many" }).Code);
    }

    [Theory]
    [InlineData("""{"posterior":{}}""", "posterior: this must be a list")]
    [InlineData("""{"posterior":[{"name":"one"}]}""", "input: this must be an object")]
    [InlineData("""{"posterior":[{"input":{"patients":[{"y":[1],"X":[[1,2]],"region":[0],"k":[1]}],"m0":[0],"V0diag":[1],"nu0":8,"s20":1,"tauU2":0.1,"tauW2":0.1,"tauE2":0.1},"expected":{"m":[0]}}]}""", "input.patients[0]: X must")]
    [InlineData("""{"posterior":[{"input":{"patients":[],"m0":[0],"V0diag":[1],"nu0":8,"s20":1,"tauU2":0.1,"tauW2":0.1,"tauE2":0},"expected":{"m":[0]}}]}""", "tau E must be above 0")]
    [InlineData("""{"posterior":[{"input":{"patients":[],"m0":[0],"V0diag":[-1],"nu0":8,"s20":1,"tauU2":0.1,"tauW2":0.1,"tauE2":0.1},"expected":{"m":[0]}}]}""", "V0 must be symmetric")]
    [InlineData("""{"posterior":[{"input":{"patients":[],"m0":[0],"V0diag":[1],"nu0":8,"s20":1,"tauU2":0.1,"tauW2":0.1,"tauE2":0.1},"expected":{"m":[0.1]}}]}""", "m: differs by 0.1")]
    [InlineData("""{"helpers":{"clopperPearson":[{"k":5,"n":4,"lower":0,"upper":1}]}}""", "k must be 0 to n")]
    [InlineData("""{"helpers":{"conformal":{"scores":"none","alpha":0.2,"rank":1,"q":0.5}}}""", "conformal.scores: this must be a list")]
    [InlineData("""{"helpers":{"intervalScore":[{"l":1,"u":2,"y":3,"alpha":0.2,"score":10}]}}""", "intervalScore[0]: differs by")]
    [InlineData("""{"helpers":7}""", "helpers: this must be an object")]
    [InlineData("""{"outside":{"newcomb":{"mean":"26"}}}""", "mean: this must be a number")]
    [InlineData("""{"outside":{"newcomb":{"mean":26.3}}}""", "mean: differs by")]
    public void A_vector_of_another_kind_that_is_wrong_fails_and_says_where(string file, string says)
    {
        var (code, output) = CheckFile(file);
        Assert.Equal(1, code);
        Assert.Contains("FAIL", output);
        Assert.Contains(says, output);
    }

    [Fact]
    public void A_kind_of_vector_that_is_not_understood_fails_and_the_others_still_run()
    {
        var (code, output) = CheckFile("""{"news":[1],"helpers":{"intervalScore":{"l":1,"u":2,"y":1,"alpha":0.2,"score":1},"weather":[{"rain":1}]},"outside":{"moon":{}}}""");
        Assert.Equal(1, code);
        Assert.Equal(3, output.Split("not understood").Length - 1);
        foreach (var name in new[] { "FAIL  news", "FAIL  helpers.weather", "FAIL  outside.moon", "pass  helpers.intervalScore", "1 passed, 3 failed" }) Assert.Contains(name, output);
    }

    [Fact]
    public void A_field_that_is_not_compared_is_told_and_fails_nothing()
    {
        var (code, output) = CheckFile("""{"made":"on Monday","helpers":{"intervalScore":{"l":1,"u":2,"y":1,"alpha":0.2,"score":1,"crps":3}},"outside":{"newcomb":{"n":66,"colour":1,"source":"there"}}}""");
        Assert.Equal(0, code);
        Assert.Contains("nothing to run: made", output);
        Assert.Contains("not compared: crps", output);
        Assert.Contains("not compared: colour", output);
    }

    [Fact]
    public void A_total_that_is_certain_is_said_to_be_and_has_nothing_to_share_out()
    {
        var certain = JsonNode.Parse(Numbers)!.AsObject();
        certain["products"] = new JsonArray();
        var figures = JsonNode.Parse(Run([], certain.ToJsonString()).Output)!;
        Assert.Equal(5000, figures["mean"]!.GetValue<double>(), 1e-6);
        Assert.Equal(0, figures["varianceShares"]!["onlyWhenTreating"]!.GetValue<double>());
        Assert.Contains("certain", figures["says"]!.GetValue<string>());
        Assert.Null(JsonNode.Parse(Run([], Numbers).Output)!["says"]);
    }

    [Fact]
    [Source("open data price-range/vectors.json: scipy, R t.test, lme4 1.1-31 REML, closed forms; sources in the file", at: "price, posterior, helpers, outside")]
    public void The_open_vector_file_passes_whole()
    {
        var path = Path.Combine(OpenData.Folder, "price-range", "vectors.json");
        if (!File.Exists(path)) return;
        var (code, output, _) = Run(["check", path], "");
        Assert.True(code == 0, output);
        Assert.Contains("nothing to run: nothing", output);
        Assert.DoesNotContain("not compared", output);
    }

    [Fact]
    public void Wrong_use_is_told_from_bad_input()
    {
        Assert.Equal(2, Run(["--fast"], "").Code);
        Assert.Equal(2, Run(["check"], "").Code);
        Assert.Equal(1, Run(["check", "no-such-file.json"], "").Code);
        Assert.Equal(0, Run(["--help"], "").Code);
    }

    private static (int Code, string Output) Check(JsonNode expected) =>
        CheckFile(new JsonObject { ["price"] = new JsonArray(new JsonObject { ["name"] = "invented", ["input"] = JsonNode.Parse(Numbers), ["expected"] = expected.DeepClone() }) }.ToJsonString());

    private static (int Code, string Output) CheckFile(string text)
    {
        var path = Path.GetTempFileName();
        File.WriteAllText(path, text);
        var (code, output, _) = Run(["check", path], "");
        File.Delete(path);
        return (code, output);
    }

    private static (int Code, string Output, string Error) Run(string[] args, string input)
    {
        using StringReader reader = new(input);
        using StringWriter output = new(), error = new();
        return (RangeCommand.Run(args, reader, output, error, CandidacyContent.Folder, new LocalDate(2026, 11, 25)), output.ToString(), error.ToString());
    }
}
