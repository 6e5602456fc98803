using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Testing;
using AftercarePortal.Web.Commands;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Odd_vectors
{
    private static readonly string Folder = Path.Combine(TriageContent.Root, "tests", "AftercarePortal.Clinical.Tests", "Pricing", "OddVectors");

    private const string One = """
        {"name":"one","input":{"s2":1,"s_theta":0.04,"tau_u":0.2,"tau_w":0.15,"tau_e":0.1,"asym_k":[1],"pG":[1],"pB":[1],"pA":[1],"dG":[0],"dB":[0],
         "products":[{"id":"a","size":1.0,"tol":0.1,"price":45000,"regions":[{"m":0.0,"sides":1,"v":0.0225}]}]},"expected":{"quantiles":{"0.5":45000,"0.975":90000}}}
        """;

    [Fact]
    [Source("a second program in another language (make.js beside the file): the method page's sums word by word, and 10^6 draws within 3.3 standard errors", at: "16 price vectors")]
    public void What_is_free_certain_nearly_tied_cut_off_or_threefold_comes_out_as_computed_apart_from_this_code()
    {
        var (code, output, _) = CheckFile(File.ReadAllText(Path.Combine(Folder, "odd-vectors.json")));
        Assert.True(code == 0, output);
        Assert.DoesNotContain("not compared", output);
        Assert.Contains("16 passed, 0 failed", output);
    }

    [Fact]
    public void What_a_case_need_not_name_may_be_left_out_and_any_level_can_be_asked()
    {
        Assert.Equal(0, Check(One).Code);
        Assert.Equal(1, Check(One.Replace("\"0.975\":90000", "\"0.975\":45000")).Code);
    }

    [Theory]
    [InlineData("\"pG\":[1]", "\"pG\":[0.5]", "pG")]
    [InlineData("\"s2\":1,", "\"s2\":NaN,", "s2")]
    [InlineData("\"size\":1.0", "\"size\":0", "size")]
    [InlineData("\"tau_u\":0.2", "\"tau_u\":-Infinity", "tau_u")]
    [InlineData("\"price\":45000", "\"price\":-1", "price")]
    [InlineData("\"price\":45000,", "", "price")]
    [InlineData("\"regions\":[{\"m\":0.0,\"sides\":1,\"v\":0.0225}]", "\"regions\":[]", "regions")]
    [InlineData("\"asym_k\":[1]", "\"currency\":\"XYZ\",\"asym_k\":[1]", "currency")]
    public void A_vector_that_cannot_be_right_fails_by_its_field_and_passes_where_that_was_wanted(string whole, string bent, string field)
    {
        Assert.Contains(whole, One);
        var wrong = One.Replace(whole, bent, StringComparison.Ordinal);
        var (code, output, _) = Check(wrong);
        Assert.Equal(1, code);
        Assert.Contains(field, output);
        Assert.Equal(0, Check(wrong.Replace("\"expected\":{", $"\"expected\":{{\"error\":\"{field}\",")).Code);
        Assert.Equal(1, Check(wrong.Replace("\"expected\":{", "\"expected\":{\"error\":\"somewhere\",")).Code);
        Assert.Equal(1, Check(One.Replace("\"expected\":{", "\"expected\":{\"error\":\"fee\",")).Code);
    }

    [Fact]
    public void An_unknown_field_or_figure_is_told_and_fails_nothing()
    {
        var (code, output, _) = Check(One.Replace("\"s2\":1,", "\"s2\":1,\"mood\":3,").Replace("\"expected\":{", "\"expected\":{\"varianceShares\":{\"moon\":0.5},"));
        Assert.Equal(0, code);
        Assert.Contains("not compared: input.mood, varianceShares.moon", output);
    }

    [Fact]
    public void A_word_of_numbers_inside_a_text_is_left_alone() => Assert.Contains("one NaN", Check(One.Replace("\"one\"", "\"one NaN\"")).Output);

    [Fact]
    public void A_patient_of_whom_nothing_is_left_changes_no_posterior()
    {
        const string prior = """
            {"posterior":[{"name":"prior","input":{"patients":[{"y":[],"X":[],"region":[],"k":[]},{"y":[1],"X":[[1]],"weight":0}],"m0":[0.2],"V0diag":[0.04],"nu0":8,"s20":1,"tauU2":0.04,"tauW2":0.02,"tauE2":0.01,"newRows":[]},
             "expected":{"m":[0.2],"V":[[0.04]],"nu":8,"s2":1,"logMarginalLikelihood":0}}],"price":[],"helpers":{"conformal":[],"moneyStep":{"lo":1000,"hi":9000,"currency":"JPY","rounded":[1000,9000,1000]}}}
            """;
        var (code, output, _) = CheckFile(prior);
        Assert.True(code == 0, output);
        Assert.Contains("helpers.conformal, which is empty", output);
    }

    private static (int Code, string Output, string Error) Check(string vector) => CheckFile($$"""{"price":[{{vector}}]}""");

    private static (int Code, string Output, string Error) CheckFile(string text)
    {
        var path = Path.GetTempFileName();
        File.WriteAllText(path, text);
        using StringWriter output = new(), error = new();
        var code = RangeCommand.Run(["check", path], TextReader.Null, output, error, CandidacyContent.Folder, new LocalDate(2026, 11, 25));
        File.Delete(path);
        return (code, output.ToString(), error.ToString());
    }
}
