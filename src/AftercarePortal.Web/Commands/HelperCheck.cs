using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using static AftercarePortal.Web.Commands.VectorShape;

namespace AftercarePortal.Web.Commands;

/// <summary>Compares the <c>helpers</c> of a vector file. A kind is one row or a list of rows.</summary>
internal static class HelperCheck
{
    private static readonly Dictionary<string, Func<JsonObject, string, double>> Kinds = new()
    {
        ["clopperPearson"] = ClopperPearson, ["intervalScore"] = Score, ["discreteForecast"] = Forecast, ["conformal"] = Conformal, ["pitHistogram"] = Pit, ["adaptiveAlpha"] = Adaptive,
        ["moneyStep"] = Step, ["orderedLogit"] = Logit,
    };

    // What a row of each kind may hold; anything else is told to be left out.
    private static readonly Dictionary<string, string> Fields = new()
    {
        ["clopperPearson"] = "k n conf lower upper", ["intervalScore"] = "l u y alpha score", ["discreteForecast"] = "pmf y crps nestedScore FminusF", ["conformal"] = "scores alpha rank q",
        ["pitHistogram"] = "pairs bins masses", ["adaptiveAlpha"] = "errors alpha gamma alpha1 start path bound", ["moneyStep"] = "lo hi currency rounded", ["orderedLogit"] = "cuts lin p",
    };

    internal static bool Knows(string kind) => Kinds.ContainsKey(kind);

    /// <summary>Largest difference over all rows.</summary>
    /// <param name="kind">One that <see cref="Knows"/>.</param>
    /// <param name="rows">One row or a list of rows.</param>
    /// <param name="skipped">Takes the fields that are not compared.</param>
    /// <exception cref="FormatException">A row has another shape; says which.</exception>
    internal static IReadOnlyList<(string, double, double)> Run(string kind, JsonNode? rows, List<string> skipped)
    {
        var list = rows is JsonArray many ? [.. many.Select((r, i) => (Row: r, At: $"[{i}]"))] : new List<(JsonNode? Row, string At)> { (rows, "") };
        skipped.AddRange(list.SelectMany(r => (r.Row as JsonObject ?? []).Select(f => f.Key)).Except([.. Fields[kind].Split(' '), "name", "note", "source"]));
        // No figure is set for these: that of the posterior.
        return [.. list.Select(r => ($"{kind}{r.At}", Kinds[kind](VectorShape.Object(r.Row, kind + r.At), kind + r.At), 1e-6))];
    }

    private static double ClopperPearson(JsonObject row, string at)
    {
        int k = Whole(row["k"], at + ".k"), n = Whole(row["n"], at + ".n");
        var confidence = row["conf"] is { } conf ? Number(conf, at + ".conf") : 0.95;
        if (n < 1 || k < 0 || k > n || !(confidence is > 0 and < 1)) throw new FormatException($"{at}: k must be 0 to n, n above 0, conf between 0 and 1");
        var interval = BinomialInterval.Of(k, n, confidence);
        return Math.Max(Apart(interval.Lower, Number(row["lower"], at + ".lower")), Apart(interval.Upper, Number(row["upper"], at + ".upper")));
    }

    private static double Score(JsonObject row, string at) =>
        Apart(IntervalScore.Of(Number(row["l"], at + ".l"), Number(row["u"], at + ".u"), Number(row["y"], at + ".y"), Alpha(row, at)), Number(row["score"], at + ".score"));

    private static double Forecast(JsonObject row, string at)
    {
        var pmf = Table(row["pmf"], at + ".pmf");
        if (pmf.Length == 0 || pmf.Any(p => p.Length != 2)) throw new FormatException($"{at}.pmf: this must hold pairs of value and probability");
        var forecast = PointForecast.Of([.. pmf.Select(p => (p[0], p[1])).OrderBy(p => p.Item1)], Number(row["y"], at + ".y"));
        var differences = new List<double>();
        if (row["crps"] is { } crps) differences.Add(Apart(forecast.Crps, Number(crps, at + ".crps")));
        if (row["nestedScore"] is { } nested) differences.Add(Apart(forecast.NestedScore, Number(nested, at + ".nestedScore")));
        if (row["FminusF"] is { } pair) differences.Add(Apart([forecast.Below, forecast.UpTo], Numbers(pair, at + ".FminusF"), at + ".FminusF"));
        return differences.Count > 0 ? differences.Max() : throw new FormatException($"{at}: this holds nothing to compare with");
    }

    private static double Conformal(JsonObject row, string at)
    {
        var widening = ConformalWidening.Of(Numbers(row["scores"], at + ".scores"), Alpha(row, at));
        return Math.Max(Apart(widening.Rank, Number(row["rank"], at + ".rank")), Apart(widening.Q, Number(row["q"], at + ".q")));
    }

    private static double Pit(JsonObject row, string at)
    {
        var pairs = Table(row["pairs"], at + ".pairs");
        var bins = Whole(row["bins"], at + ".bins");
        if (bins is < 1 or > 1000 || pairs.Any(p => p.Length != 2 || !(p[0] <= p[1]))) throw new FormatException($"{at}.pairs: this must hold pairs in rising order");
        return Apart(PitHistogram.Of([.. pairs.Select(p => (p[0], p[1]))], bins), Numbers(row["masses"], at + ".masses"), at + ".masses");
    }

    private static double Adaptive(JsonObject row, string at) =>
        Apart(
            AdaptiveAlpha.Path([.. Numbers(row["errors"], at + ".errors").Select(e => e is 0 or 1 ? e == 1 : throw new FormatException($"{at}.errors: these must be 0 or 1"))], Alpha(row, at),
                row["gamma"] is { } gamma ? Positive(gamma, at + ".gamma") : AdaptiveAlpha.Gamma, (row["alpha1"] ?? row["start"]) is { } first ? Number(first, at + ".alpha1") : null),
            Numbers(row["path"], at + ".path"), at + ".path");

    private static double Step(JsonObject row, string at)
    {
        var digits = row["currency"] is JsonValue currency && currency.TryGetValue<string>(out var code) ? Currency.MinorDigits(code) ?? throw new FormatException($"{at}.currency: this is no currency in use") : 2;
        long low = Amount("lo"), high = Amount("hi"), step = MoneyStep.For(low, high, digits, goesOn: false);
        var (from, to) = MoneyStep.Outwards(low, high, step);
        return Apart([from, to, step], Numbers(row["rounded"], at + ".rounded"), at + ".rounded");

        long Amount(string key) => Number(row[key], $"{at}.{key}") is var money && money == Math.Floor(money) && Math.Abs(money) < 1e15 ? (long)money : throw new FormatException($"{at}.{key}: this must be a whole number");
    }

    private static double Logit(JsonObject row, string at) => Apart(OrderedLogit.Levels(Numbers(row["cuts"], at + ".cuts"), Number(row["lin"], at + ".lin")), Numbers(row["p"], at + ".p"), at + ".p");

    private static double Alpha(JsonObject row, string at) => row["alpha"] is { } alpha ? Positive(alpha, at + ".alpha") : 0.2;

    private static double Positive(JsonNode? node, string at) => Number(node, at) is > 0 and var v ? v : throw new FormatException($"{at}: this must be above 0");
}
