using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>Compares one <c>posterior</c> vector with the regression that learns a clinic's figures.</summary>
internal static class PosteriorCheck
{
    private const double Allowed = 1e-6;

    private static readonly string[] Known = ["m", "V", "nu", "s2", "logMarginalLikelihood", "sTheta", "vRegion", "worstResidual"];

    /// <summary>Differences by field.</summary>
    /// <exception cref="FormatException">A part has another shape; says which.</exception>
    internal static IReadOnlyList<(string, double, double)> Run(JsonNode? vector, List<string> skipped)
    {
        var input = VectorShape.Object(vector?["input"], "input");
        var expected = VectorShape.Object(vector?["expected"], "expected");
        var mean = VectorShape.Numbers(input["m0"], "input.m0");
        CaseRegression regression;
        CasePosterior posterior;
        try
        {
            regression = new(mean, Prior(input, mean.Length), VectorShape.Number(input["nu0"], "input.nu0"), VectorShape.Number(input["s20"], "input.s20"));
            foreach (var (patient, i) in VectorShape.List(input["patients"], "input.patients").Select((p, i) => (p, i)))
            {
                // Everything of this patient has left the case.
                if (patient is JsonObject { } one && (one["y"] is JsonArray { Count: 0 } || (one["weight"] ?? one["w"]) is JsonValue none && VectorShape.Number(none, "weight") == 0)) continue;
                var block = Patient(VectorShape.Object(patient, $"input.patients[{i}]"), $"input.patients[{i}]");
                if (block.Fault(mean.Length) is { } fault) throw new FormatException($"input.patients[{i}]: {fault}");
                regression.Add(block);
            }

            posterior = regression.Under(new(Tau(input, "tauU2"), Tau(input, "tauW2"), Tau(input, "tauE2")));
        }
        catch (ArgumentException wrong)
        {
            throw new FormatException($"input: {wrong.Message}", wrong);
        }

        var ours = new Dictionary<string, double[]>
        {
            ["m"] = posterior.Mean, ["V"] = [.. posterior.Covariance.SelectMany(r => r)], ["nu"] = [posterior.Nu], ["s2"] = [posterior.S2], ["logMarginalLikelihood"] = [posterior.LogMarginalLikelihood],
        };
        if (input["newRows"] is not (null or JsonArray { Count: 0 }))
        {
            var rows = VectorShape.Table(input["newRows"], "input.newRows");
            if (rows.Any(r => r.Length != mean.Length)) throw new FormatException("input.newRows: each row must hold one number a parameter");
            // What a prediction shares with the others cannot be read off one alone.
            if (rows.Length > 1)
            {
                var part = SharedPart.Of([.. rows.Select(a => rows.Select(b => Between(a, posterior.Covariance, b)).ToArray())], 0);
                (ours["sTheta"], ours["vRegion"], ours["worstResidual"]) = ([part.Shared], part.Own, [part.Missed]);
            }
        }

        skipped.AddRange(expected.Select(p => p.Key).Where(k => !ours.ContainsKey(k)));
        return [.. Known.Where(k => ours.ContainsKey(k) && expected.ContainsKey(k)).Select(k => (k, VectorShape.Apart(ours[k], Flat(expected[k], $"expected.{k}"), $"expected.{k}"), Allowed))];
    }

    private static double Between(double[] a, double[][] v, double[] b) => a.Select((x, i) => x * b.Select((y, j) => v[i][j] * y).Sum()).Sum();

    private static double[][] Prior(JsonObject input, int width) => input["V0"] is { } full
        ? VectorShape.Table(full, "input.V0")
        : [.. VectorShape.Numbers(input["V0diag"], "input.V0diag") is var diagonal && diagonal.Length == width
            ? diagonal.Select((v, i) => diagonal.Select((_, j) => i == j ? v : 0).ToArray()) : throw new FormatException("input.V0diag: this must be as long as m0")];

    private static double Tau(JsonObject input, string field) => Math.Sqrt(VectorShape.Number(input[field], $"input.{field}") is >= 0 and var v ? v : throw new FormatException($"input.{field}: this must not be below 0"));

    private static CaseBlock Patient(JsonObject patient, string at)
    {
        var y = VectorShape.Numbers(patient["y"], $"{at}.y");
        // Without a region all amounts are of one; without k each side is as the model has it.
        return new(
            y, VectorShape.Table(patient["X"], $"{at}.X"), patient["region"] is null ? [.. y.Select(_ => 0)] : [.. VectorShape.List(patient["region"], $"{at}.region").Select((n, i) => VectorShape.Whole(n, $"{at}.region[{i}]"))],
            patient["k"] is null ? [.. y.Select(_ => 1.0)] : VectorShape.Numbers(patient["k"], $"{at}.k"), (patient["weight"] ?? patient["w"]) is { } weight ? VectorShape.Number(weight, $"{at}.weight") : 1);
    }

    private static double[] Flat(JsonNode? node, string at) => node switch
    {
        JsonArray list => [.. list.SelectMany((n, i) => Flat(n, $"{at}[{i}]"))],
        _ => [VectorShape.Number(node, at)],
    };
}
