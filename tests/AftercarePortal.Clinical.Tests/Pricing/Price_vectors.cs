using System.Diagnostics;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Testing;
using AftercarePortal.Web.Commands;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Clinical.Tests.Pricing;

[Source("open data price-range/vectors.json, computed apart from this code, exactly and by 10^7 draws", at: "price")]
public sealed class Price_vectors(ITestOutputHelper output)
{
    [Fact]
    public void Every_field_of_every_vector_agrees()
    {
        if (Vectors() is not { } vectors) return;
        foreach (var vector in vectors)
        {
            var clock = Stopwatch.StartNew();
            var skipped = new List<string>();
            var differences = PriceVectorCheck.Differences(PriceFigures.Of(Case(vector["input"]!)), vector["expected"]!.AsObject(), skipped);
            output.WriteLine($"{vector["name"]}: {clock.ElapsedMilliseconds} ms, {string.Join(", ", differences.Select(d => $"{d.Key} {d.Value:g2}"))}");
            Assert.All(differences, d => Assert.True(d.Value <= PriceVectorCheck.Allowed[d.Key], $"{vector["name"]}: {d.Key} differs by {d.Value:g3}"));
            Assert.Empty(skipped);
        }
    }

    [Fact]
    public void Every_distribution_adds_up_to_one()
    {
        if (Vectors() is not { } vectors) return;
        Assert.All(vectors, v => Assert.Equal(1, new PriceEngine(Case(v["input"]!)).Total().Atoms.Sum(a => a.Probability), 1e-9));
    }

    [Fact]
    public void The_same_case_gives_the_same_bits_twice()
    {
        if (Vectors() is not { } vectors) return;
        var input = vectors[0]["input"]!;
        Assert.Equal(new PriceEngine(Case(input)).Total().Atoms, new PriceEngine(Case(input)).Total().Atoms);
    }

    [Fact]
    public void Every_rounding_step_agrees()
    {
        if (File("helpers") is not { } helpers) return;
        Assert.All(helpers["moneyStep"]!.AsArray(), row =>
        {
            long low = row!["lo"]!.GetValue<long>(), high = row["hi"]!.GetValue<long>(), step = MoneyStep.For(low, high);
            var (from, to) = MoneyStep.Outwards(low, high, step);
            Assert.Equal(row["rounded"]!.AsArray().Select(n => n!.GetValue<long>()), [from, to, step]);
        });
    }

    [Fact]
    public void Every_ordered_logit_agrees()
    {
        if (File("helpers") is not { } helpers) return;
        Assert.All(helpers["orderedLogit"]!.AsArray(), row => Assert.All(
            OrderedLogit.Levels([.. row!["cuts"]!.AsArray().Select(n => n!.GetValue<double>())], row["lin"]!.GetValue<double>()).Zip(row["p"]!.AsArray()),
            pair => Assert.Equal(pair.Second!.GetValue<double>(), pair.First, 1e-9)));
    }

    private static string FilePath => Path.Combine(OpenData.Folder, "price-range", "vectors.json");

    private List<JsonNode>? Vectors()
    {
        var vectors = File("price")?.AsArray().Select(v => v!).ToList();
        if (vectors is not null) Assert.NotEmpty(vectors);
        return vectors;
    }

    private JsonNode? File(string kind)
    {
        if (Path.Exists(FilePath)) return JsonNode.Parse(System.IO.File.ReadAllText(FilePath))![kind];
        output.WriteLine("NOT CHECKED: vectors.json is not there (AFTERCARE_OPEN_DATA).");
        return null;
    }

    private static PriceCase Case(JsonNode input)
    {
        var errors = new List<string>();
        return new PriceCaseReader(errors).Read(input) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }
}
