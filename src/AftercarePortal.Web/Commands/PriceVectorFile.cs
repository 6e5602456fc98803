using System.Diagnostics;
using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>Runs a whole file of price vectors and prints one line each.</summary>
internal static class PriceVectorFile
{
    private static readonly string[] Helpers = ["moneyStep", "orderedLogit"];

    internal static int Check(string file, TextWriter output, TextWriter error)
    {
        var errors = new List<string>();
        if (!File.Exists(file))
        {
            error.WriteLine("FILE: there is no such file");
            return 1;
        }

        if (RangeCommand.Parse(File.ReadAllText(file), errors) is not { } root || root["price"] is not JsonArray { Count: > 0 } vectors)
        {
            error.WriteLine(errors.FirstOrDefault() ?? "price: this file holds no list of price vectors");
            return 1;
        }

        int passed = 0, failed = 0;
        foreach (var (vector, i) in vectors.Select((v, i) => (v as JsonObject, i)))
        {
            var clock = Stopwatch.StartNew();
            var (faults, words) = Price(vector);
            var name = vector?["name"] is JsonValue value && value.TryGetValue<string>(out var text) ? text : $"price[{i}]";
            output.WriteLine($"{(faults.Count == 0 ? "pass" : "FAIL")}  {name}: {words}, {clock.ElapsedMilliseconds} ms");
            foreach (var fault in faults) output.WriteLine($"      {fault}");
            if (faults.Count == 0) passed++; else failed++;
        }

        foreach (var kind in Helpers.Where(k => root["helpers"]?[k] is JsonArray))
        {
            var apart = root["helpers"]![kind]!.AsArray().Select(row => Helper(kind, row)).DefaultIfEmpty(double.NaN).Max();
            var good = apart <= 1e-8;
            output.WriteLine($"{(good ? "pass" : "FAIL")}  helpers.{kind}: largest difference {apart.ToString("g3", CultureInfo.InvariantCulture)}");
            if (good) passed++; else failed++;
        }

        List<string> skipped = [.. root.Where(p => p.Key is not ("version" or "units" or "licence" or "price" or "helpers")).Select(p => p.Key),
            .. (root["helpers"] as JsonObject ?? []).Select(p => p.Key).Except(Helpers).Select(k => $"helpers.{k}")];
        output.WriteLine($"not run, this program has no such part: {(skipped.Count == 0 ? "nothing" : string.Join(", ", skipped))}");
        output.WriteLine($"{passed} passed, {failed} failed");
        return failed == 0 ? 0 : 1;
    }

    private static (List<string> Faults, string Words) Price(JsonObject? vector)
    {
        var faults = new List<string>();
        if (new PriceCaseReader(faults).Read(vector?["input"]) is not { } price) return (faults, "the input cannot be used");
        if (vector!["expected"] is not JsonObject expected) return (["expected: this is missing"], "nothing to compare with");
        var skipped = new List<string>();
        Dictionary<string, double> differences;
        try
        {
            differences = PriceVectorCheck.Differences(PriceFigures.Of(price), expected, skipped);
        }
        catch (FormatException wrong)
        {
            return ([wrong.Message], "nothing to compare with");
        }

        if (differences.Count == 0) return (["expected: no field of it can be compared"], "nothing to compare with");
        static string Shown(double value) => value.ToString("g3", CultureInfo.InvariantCulture);
        faults.AddRange(differences.Where(d => !(d.Value <= PriceVectorCheck.Allowed[d.Key])).Select(d => $"{d.Key}: differs by {Shown(d.Value)}, allowed {Shown(PriceVectorCheck.Allowed[d.Key])}"));
        var worst = differences.MaxBy(d => d.Value);
        var rest = skipped.Count == 0 ? "" : $"; not compared: {string.Join(", ", skipped)}";
        return (faults, $"largest difference {Shown(worst.Value)} ({worst.Key}), {differences.Count} fields{rest}");
    }

    // NaN, which passes nothing, when a row has another shape.
    private static double Helper(string kind, JsonNode? row)
    {
        var fields = row as JsonObject ?? [];
        if (kind == "moneyStep")
        {
            if (Numbers(new JsonArray(fields["lo"]?.DeepClone(), fields["hi"]?.DeepClone())) is not [var low, var high] || Numbers(fields["rounded"]) is not [var a, var b, var c]) return double.NaN;
            var step = MoneyStep.For((long)low, (long)high);
            var (from, to) = MoneyStep.Outwards((long)low, (long)high, step);
            return new[] { from - a, to - b, step - c }.Max(Math.Abs);
        }

        if (Numbers(fields["cuts"]) is not { } cuts || Numbers(new JsonArray(fields["lin"]?.DeepClone())) is not [var lin] || Numbers(fields["p"]) is not { } p || p.Length != cuts.Length + 1) return double.NaN;
        return OrderedLogit.Levels(cuts, lin).Zip(p, (x, y) => Math.Abs(x - y)).Max();
    }

    private static double[]? Numbers(JsonNode? node) =>
        node is JsonArray list && list.All(n => n is JsonValue v && v.TryGetValue<double>(out _)) ? [.. list.Select(n => n!.GetValue<double>())] : null;
}
