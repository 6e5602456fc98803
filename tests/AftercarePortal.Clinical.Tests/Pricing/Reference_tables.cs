using System.Globalization;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Testing;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Clinical.Tests.Pricing;

/// <summary>Figures that R 4.2.2 computed. Read where they stand; said aloud when they are not there.</summary>
public sealed class Reference_tables(ITestOutputHelper output)
{
    [Fact]
    [Source("R 4.2.2, textbook normal-inverse-gamma update on log amounts (Murphy 2007; Gelman et al.)", at: "statistics/r-reference/normal_inverse_gamma_lognormal.tsv")]
    public void One_clinic_without_covariates_learns_as_the_textbook_says()
    {
        foreach (var row in Rows("normal_inverse_gamma_lognormal.tsv"))
        {
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            var regression = new CaseRegression([At("m0")], [[1 / At("k0")]], 2 * At("a0"), At("b0") / At("a0"));
            foreach (var amount in row["amounts"].Split(';', StringSplitOptions.RemoveEmptyEntries)) regression.Add(new([Math.Log(double.Parse(amount, CultureInfo.InvariantCulture))], [[1]], [0], [1]));
            var posterior = regression.Under(new(0, 0, 1));
            Assert.Equal(At("mn"), posterior.Mean[0], 1e-9);
            Assert.Equal(At("kn"), 1 / posterior.Covariance[0][0], 1e-9);
            Assert.Equal(At("an"), posterior.Nu / 2, 1e-9);
            Assert.Equal(At("bn"), posterior.Nu * posterior.S2 / 2, 1e-9);
        }
    }

    [Fact]
    [Source("R 4.2.2 quantile(type = 1), the inverse of the distribution function", at: "statistics/r-reference/quantile_types.tsv")]
    public void The_quantile_of_a_total_is_the_smallest_that_reaches_the_level()
    {
        foreach (var row in Rows("quantile_types.tsv").Where(r => r["type"] == "1"))
        {
            var values = row["values"].Split(';').Select(v => (long)Math.Round(1e6 * double.Parse(v, CultureInfo.InvariantCulture))).ToArray();
            var total = new PriceDistribution(values.GroupBy(v => v).Select(g => KeyValuePair.Create(g.Key, (double)g.Count() / values.Length)));
            Assert.Equal(1e6 * double.Parse(row["quantile"], CultureInfo.InvariantCulture), total.Quantile(double.Parse(row["p"], CultureInfo.InvariantCulture)), 0.6);
        }
    }

    [Fact]
    [Source("R 4.2.2 qlnorm", at: "statistics/r-reference/distributions.tsv, lognormal")]
    public void One_region_whose_spread_is_known_is_lognormal()
    {
        var seen = 0;
        foreach (var row in Rows("distributions.tsv").Where(r => r["distribution"] == "lognormal"))
        {
            var parameters = row["parameters"].Split(';').Select(p => double.Parse(p.Split('=')[1], CultureInfo.InvariantCulture)).ToArray();
            var level = double.Parse(row["p"], CultureInfo.InvariantCulture);
            // Percentiles only, and where the grid of 0.02 mL is fine beside the spread.
            if (Math.Abs(level * 100 - Math.Round(level * 100)) > 1e-9 || parameters[0] < -0.5 || parameters[1] is < 0.2 or > 1) continue;
            var one = new PriceCase(
                null, 1, 0, 0, parameters[1], [1], [[1]], [1], [0], [0], [new(1, 0, 0)], [new("one", new(1, 0, 1, 1), [new(parameters[0], 1, 0)])], null, [[(0, 1)]], 0, [[1]], 0, 0, 0, 30, 200);
            var quantile = double.Parse(row["quantile"], CultureInfo.InvariantCulture);
            Assert.InRange(new PriceEngine(one).FirstVisitMl().At(level) / quantile, 0.995, 1.005);
            seen++;
        }

        output.WriteLine($"{seen} quantiles");
        if (Folder is not null) Assert.True(seen > 10);
    }

    [Fact]
    [Source("R 4.2.2 binom.test", at: "statistics/r-reference/binomial_intervals.tsv")]
    public void A_share_lies_where_the_exact_interval_says()
    {
        foreach (var row in Rows("binomial_intervals.tsv"))
        {
            var interval = BinomialInterval.Of(int.Parse(row["successes"]), int.Parse(row["trials"]), double.Parse(row["conf"], CultureInfo.InvariantCulture));
            Assert.Equal(double.Parse(row["clopper_lo"], CultureInfo.InvariantCulture), interval.Lower, 1e-9);
            Assert.Equal(double.Parse(row["clopper_hi"], CultureInfo.InvariantCulture), interval.Upper, 1e-9);
        }
    }

    [Fact]
    [Source("R 4.2.2, rank ceil((n+1)(1-a)) and coverage Beta(k, n+1-k) of split conformal prediction", at: "statistics/r-reference/split_conformal_rank.tsv")]
    public void Exchangeable_scores_are_held_as_often_as_the_rank_promises()
    {
        foreach (var row in Rows("split_conformal_rank.tsv"))
        {
            var n = int.Parse(row["n_calibration"]);
            var alpha = double.Parse(row["alpha"], CultureInfo.InvariantCulture);
            var random = new Random(n);
            var widening = ConformalWidening.Of([.. Enumerable.Range(0, n).Select(_ => random.NextDouble() / 2)], alpha);
            Assert.Equal(int.Parse(row["rank"]), widening.Rank);
            if (row["infinite"] == "TRUE") { Assert.Equal(0.5, widening.Q); continue; }
            // The next score of 4000 exchangeable runs, against the exact expectation.
            const int runs = 4000;
            var held = 0;
            for (var i = 0; i < runs; i++)
            {
                double[] scores = [.. Enumerable.Range(0, n + 1).Select(_ => random.NextDouble() / 2)];
                if (scores[n] <= ConformalWidening.Of(scores[..n], alpha).Q) held++;
            }

            var expected = double.Parse(row["expected_coverage_exact"], CultureInfo.InvariantCulture);
            Assert.InRange((double)held / runs, expected - 4 * Math.Sqrt(expected * (1 - expected) / runs) - 1e-9, expected + 4 * Math.Sqrt(expected * (1 - expected) / runs) + 1e-9);
            if (n > 200) break;
        }
    }

    private static string? Folder => Path.Combine(OpenData.Folder, "statistics", "r-reference") is var folder && Directory.Exists(folder) ? folder : null;

    private IEnumerable<Dictionary<string, string>> Rows(string file)
    {
        if (Folder is null)
        {
            output.WriteLine($"NOT CHECKED: {file} is not there (AFTERCARE_OPEN_DATA).");
            yield break;
        }

        var lines = File.ReadAllLines(Path.Combine(Folder, file));
        var names = lines[0].Split('\t');
        foreach (var line in lines.Skip(1)) yield return names.Zip(line.Split('\t')).ToDictionary(x => x.First, x => x.Second);
    }
}
