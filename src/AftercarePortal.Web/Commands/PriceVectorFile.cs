using System.Diagnostics;
using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>Runs a whole file of vectors and prints one line each.</summary>
internal static class PriceVectorFile
{
    private static readonly string[] About = ["version", "units", "licence"];
    private static readonly string[] Parts = ["price", "posterior", "helpers", "outside"];

    /// <returns>0 when all agree; 1 when one does not, is not understood or has another shape, or when there is nothing to run. One that fails keeps no other from being run.</returns>
    internal static int Check(string file, TextWriter output, TextWriter error)
    {
        var errors = new List<string>();
        if (!File.Exists(file))
        {
            error.WriteLine("FILE: there is no such file");
            return 1;
        }

        if (RangeCommand.Parse(File.ReadAllText(file), errors) is not { } root)
        {
            error.WriteLine(errors[0]);
            return 1;
        }

        // A word or a number is about the file; a part with vectors in it would be a check left out unsaid.
        var unknown = root.Where(p => !About.Contains(p.Key) && !Parts.Contains(p.Key)).ToList();
        var notRun = unknown.Where(p => p.Value is not (JsonArray or JsonObject)).Select(p => p.Key).ToList();
        int passed = 0, failed = 0;
        foreach (var run in Runs(root, notRun).Concat(unknown.Where(p => p.Value is JsonArray or JsonObject).Select(p => NotUnderstood(p.Key))))
        {
            var clock = Stopwatch.StartNew();
            var result = run();
            Write(result, clock.ElapsedMilliseconds, output);
            if (result.Good) passed++;
            else failed++;
        }

        if (passed + failed == 0)
        {
            error.WriteLine("price: this file holds no vectors");
            return 1;
        }

        output.WriteLine($"left out, nothing to run: {(notRun.Count == 0 ? "nothing" : string.Join(", ", notRun))}");
        output.WriteLine($"{passed} passed, {failed} failed");
        return failed == 0 ? 0 : 1;
    }

    private static IEnumerable<Func<VectorResult>> Runs(JsonObject root, List<string> notRun)
    {
        foreach (var kind in (string[])["price", "posterior"])
        {
            if (!root.ContainsKey(kind)) continue;
            if (root[kind] is not JsonArray list) { yield return () => new(kind, [], [], $"{kind}: this must be a list"); continue; }
            foreach (var (vector, i) in list.Select((v, i) => (v, i)))
                yield return () => VectorResult.Of(NameOf(vector, $"{kind}[{i}]"), skipped => WantedRefusal(vector) is { } word
                    ? Refused(() => Run(kind, vector, skipped), word) : Run(kind, vector, skipped));
        }

        foreach (var (part, knows) in new (string, Func<string, bool>)[] { ("helpers", HelperCheck.Knows), ("outside", OutsideCheck.Knows) })
        {
            if (!root.ContainsKey(part)) continue;
            if (root[part] is not JsonObject kinds) { yield return () => new(part, [], [], $"{part}: this must be an object"); continue; }
            foreach (var (kind, rows) in kinds)
            {
                if (!knows(kind)) yield return NotUnderstood($"{part}.{kind}");
                else if (rows is JsonArray { Count: 0 }) notRun.Add($"{part}.{kind}, which is empty");
                else yield return () => VectorResult.Of($"{part}.{kind}", skipped => part == "helpers" ? HelperCheck.Run(kind, rows, skipped) : OutsideCheck.Run(kind, rows, skipped));
            }
        }
    }

    private static Func<VectorResult> NotUnderstood(string name) => () => new(name, [], [], "not understood: this program knows no such kind of vector");

    private static string NameOf(JsonNode? vector, string otherwise) =>
        vector is JsonObject row && row["name"] is JsonValue value && value.TryGetValue<string>(out var text) && text.Length > 0 ? text : otherwise;

    private static void Write(VectorResult result, long milliseconds, TextWriter output)
    {
        static string Shown(double value) => value.ToString("g3", CultureInfo.InvariantCulture);
        var rest = result.NotCompared.Count == 0 ? "" : $"; not compared: {string.Join(", ", result.NotCompared)}";
        // The one nearest to what is allowed says most.
        var worst = result.Differences.OrderByDescending(d => d.Allowed > 0 ? d.Difference / d.Allowed : d.Difference > 0 ? double.MaxValue : 0).ThenByDescending(d => d.Difference).FirstOrDefault();
        var words = result.Fault is null
            ? $"largest difference {Shown(result.Differences.Max(d => d.Difference))}; nearest to its limit {worst.Field}, {Shown(worst.Difference)} of {Shown(worst.Allowed)}; {result.Differences.Count} compared{rest}"
            : "could not be run";
        output.WriteLine($"{(result.Good ? "pass" : "FAIL")}  {result.Name}: {words}, {milliseconds} ms");
        if (result.Fault is not null) output.WriteLine($"      {result.Fault}");
        foreach (var (field, difference, allowed) in result.Differences.Where(d => !(d.Difference <= d.Allowed))) output.WriteLine($"      {field}: differs by {Shown(difference)}, allowed {Shown(allowed)}");
    }

    private static IReadOnlyList<(string, double, double)> Run(string kind, JsonNode? vector, List<string> skipped) => kind == "price" ? Price(vector, skipped) : PosteriorCheck.Run(vector, skipped);

    private static IReadOnlyList<(string, double, double)> Price(JsonNode? vector, List<string> skipped)
    {
        var faults = new List<string>();
        var input = (vector as JsonObject)?["input"];
        var price = new PriceCaseReader(faults, skipped).Read(input);
        if (price is null) throw new FormatException(string.Join("; ", faults));
        var expected = VectorShape.Object(vector!["expected"], "expected");
        var digits = input!["currency"] is JsonValue currency && currency.TryGetValue<string>(out var code) ? Currency.MinorDigits(code) ?? throw new FormatException("currency: this must be the ISO 4217 code of a currency in use") : 2;
        var figures = PriceFigures.Of(price, (expected["quantiles"] as JsonObject)?.Select(p => p.Key), digits);
        return [.. PriceVectorCheck.Differences(figures, expected, skipped).Select(d => (d.Key, d.Value, PriceVectorCheck.Allowed[d.Key]))];
    }

    // A vector may want its input refused: expected is then {"error": "the field"}, or any words.
    private static string? WantedRefusal(JsonNode? vector) => (vector as JsonObject)?["expected"] is JsonObject expected
        ? ((string[])["error", "refused", "fault"]).Where(expected.ContainsKey).Select(key => expected[key]?.ToString() ?? "").FirstOrDefault() : null;

    private static IReadOnlyList<(string, double, double)> Refused(Action run, string word)
    {
        try
        {
            run();
        }
        catch (FormatException fault)
        {
            // A single word is the field's name; a sentence is somebody else's wording.
            var named = word.Contains(' ', StringComparison.Ordinal) || word is "" or "true" || fault.Message.Contains(word, StringComparison.OrdinalIgnoreCase);
            return [("refusal of the right field", named ? 0 : 1, 0)];
        }

        return [("refusal", 1, 0)];
    }
}
