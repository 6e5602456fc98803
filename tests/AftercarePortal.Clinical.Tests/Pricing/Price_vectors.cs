using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Testing;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Clinical.Tests.Pricing;

[Source("open data price-range/vectors.json, computed apart from this code, exactly and by 10^7 draws", at: "price")]
public sealed class Price_vectors(ITestOutputHelper output)
{
    [Fact]
    public void Every_distribution_agrees_within_a_ten_thousandth_an_atom()
    {
        if (Vectors() is not { } vectors) return;
        foreach (var vector in vectors)
        {
            var expected = vector["expected"]!;
            var total = new PriceEngine(Case(vector["input"]!)).Total();
            var atoms = total.Atoms.ToDictionary(a => a.Total, a => a.Probability);
            Assert.All(expected["priceAtoms"]!.AsArray(), atom => Assert.Equal(Number(atom![1]), atoms.GetValueOrDefault((long)Number(atom[0])), 1e-4));
            Assert.Equal(1, total.Atoms.Sum(a => a.Probability), 1e-9);
            Assert.Equal(1, total.Mean / Number(expected["mean"]), 1e-4);
        }
    }

    [Fact]
    public void Every_quantile_and_outward_rounding_is_the_same_amount_of_money()
    {
        if (Vectors() is not { } vectors) return;
        foreach (var vector in vectors)
        {
            var expected = vector["expected"]!;
            var total = new PriceEngine(Case(vector["input"]!)).Total();
            Assert.All(expected["quantiles"]!.AsObject(), q => Assert.Equal((long)Number(q.Value), total.Quantile(double.Parse(q.Key, CultureInfo.InvariantCulture))));
            var (low, high) = (total.Quantile(0.1), total.Quantile(0.9));
            var step = MoneyStep.For(low, high);
            Assert.Equal((long)Number(expected["moneyStep"]), step);
            Assert.Equal(((long)Number(expected["roundedOut"]![0]), (long)Number(expected["roundedOut"]![1])), MoneyStep.Outwards(low, high, step));
        }
    }

    [Fact]
    public void Every_share_of_the_width_agrees()
    {
        if (Vectors() is not { } vectors) return;
        foreach (var vector in vectors)
        {
            var shares = new PriceEngine(Case(vector["input"]!)).Shares();
            Assert.All(vector["expected"]!["varianceShares"]!.AsObject(), share => Assert.Equal(Number(share.Value), shares.GetValueOrDefault(share.Key), 1e-3));
        }
    }

    [Fact]
    public void The_same_case_gives_the_same_bits_twice()
    {
        if (Vectors() is not { } vectors) return;
        var input = vectors[0]["input"]!;
        Assert.Equal(new PriceEngine(Case(input)).Total().Atoms, new PriceEngine(Case(input)).Total().Atoms);
    }

    private List<JsonNode>? Vectors()
    {
        var path = Path.Combine(OpenData.Folder, "price-range", "vectors.json");
        if (!File.Exists(path))
        {
            output.WriteLine($"NOT CHECKED: {Path.GetFileName(path)} is not there (AFTERCARE_OPEN_DATA).");
            return null;
        }

        var vectors = JsonNode.Parse(File.ReadAllText(path))!["price"]!.AsArray().Select(v => v!).ToList();
        Assert.NotEmpty(vectors);
        return vectors;
    }

    private static PriceCase Case(JsonNode i)
    {
        var (laxity, bone) = (Numbers(i["pG"]), Numbers(i["pB"]));
        var second = i["touchup"];
        return new PriceCase(
            i["nu"] is null ? null : Number(i["nu"]), Number(i["s2"]), Number(i["tau_u"]), Number(i["tau_w"]), Number(i["tau_e"]), Numbers(i["asym_k"]),
            [.. laxity.Select(g => bone.Select(b => g * b).ToArray())], Numbers(i["pA"]), Numbers(i["dG"]), Numbers(i["dB"]), [new(1, 0, Number(i["s_theta"]))],
            [.. i["products"]!.AsArray().Select(Product)],
            second is null ? null : new(Number(second["p"]), Number(second["ratio"]), Number(second["sd"])),
            [.. i["toxin"]!.AsArray().Select(row => row!.AsArray().Select(x => ((int)Number(x![0]), Number(x[1]))).ToArray())], (long)Number(i["toxin_price"]),
            [.. i["sessions"]!.AsArray().Select(Numbers)], (long)Number(i["session_price"]), (long)Number(i["fee"]), (int)Number(i["tax_bp"]), (int)Number(i["kmax"]), Number(i["smax"]));
    }

    private static ProductCase Product(JsonNode? p) => new(
        (string)p!["id"]!, new(Number(p["size"]), Number(p["tol"]), (long)Number(p["price"]), (long)Number(p["price_next"] ?? p["price"])),
        [.. p["regions"]!.AsArray().Select(r => new RegionCase(Number(r!["m"]), (int)Number(r["sides"]), Number(r["v"])))]);

    private static double Number(JsonNode? node) => double.Parse(node!.ToJsonString(), CultureInfo.InvariantCulture);

    private static double[] Numbers(JsonNode? node) => [.. node!.AsArray().Select(Number)];
}
