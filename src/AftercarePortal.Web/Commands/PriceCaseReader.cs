using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads the input of one price vector: engine numbers without words. Every fault names the field as the file spells it.</summary>
/// <param name="errors">Takes the faults.</param>
/// <param name="notRead">Takes the names of fields this program does not know; null when such a field is a fault.</param>
internal sealed class PriceCaseReader(List<string> errors, List<string>? notRead = null)
{
    private static readonly string[] Keys =
    [
        "nu", "s2", "s_theta", "tau_u", "tau_w", "tau_e", "asym_k", "pG", "pB", "pA", "dG", "dB", "products", "touchup", "toxin", "toxin_price", "sessions",
        "session_price", "fee", "tax_bp", "kmax", "smax", "currency",
    ];

    // What a case without that line, or of the usual size, may leave out.
    private static readonly string[] Optional = ["nu", "touchup", "toxin", "toxin_price", "sessions", "session_price", "fee", "tax_bp", "kmax", "smax", "currency"];

    private static readonly (string Ours, string Theirs)[] Names =
    [
        ("TauU", "tau_u"), ("TauW", "tau_w"), ("TauE", "tau_e"), ("SideFactor", "asym_k"), ("SideDifference", "pA"), ("LaxityBone", "pG and pB"), ("LaxityShift", "dG"),
        ("BoneShift", "dB"), ("Shifts", "s_theta"), ("Products", "products"), ("SecondVisit", "touchup"), ("ToxinPrice", "toxin_price"), ("Toxin", "toxin"), ("SessionPrice", "session_price"),
        ("Sessions", "sessions"), ("Fee", "fee"), ("TaxBasisPoints", "tax_bp"), ("MostUnits", "kmax"), ("MostMl", "smax"), ("Nu", "nu"), ("S2", "s2"), ("UnitMl", "size"), ("ToleranceMl", "tol"),
        ("First", "price"), ("Next", "price_next"), ("Regions", "regions"), ("LogMedian", "m"), ("Sides", "sides"), ("Variance", "v"),
    ];

    /// <summary>Null, with every fault added, when the case cannot be worked out exactly as it stands.</summary>
    public PriceCase? Read(JsonNode? node)
    {
        var before = errors.Count;
        if (node is not JsonObject i) { errors.Add("input: this must be an object"); return null; }
        foreach (var key in i.Select(p => p.Key).Except(Keys))
            if (notRead is null) errors.Add($"{key}: a price case has no such field");
            else notRead.Add($"input.{key}");
        foreach (var key in Keys.Except(i.Select(p => p.Key)).Except(Optional)) errors.Add($"{key}: this field is missing");
        if (errors.Count > before) return null;
        double[] laxity = Numbers(i["pG"], "pG"), bone = Numbers(i["pB"], "pB");
        foreach (var (name, p) in new[] { ("pG", laxity), ("pB", bone) })
            if (p.Length == 0 || p.Any(v => !(v >= 0)) || !(Math.Abs(p.Sum() - 1) <= PriceCase.SumWithin)) errors.Add($"{name}: must be probabilities that add up to 1");
        var second = i["touchup"] is null ? null : Second(i["touchup"]);
        var read = new PriceCase(
            i["nu"] is null ? null : Number(i["nu"], "nu"), Number(i["s2"], "s2"), Number(i["tau_u"], "tau_u"), Number(i["tau_w"], "tau_w"), Number(i["tau_e"], "tau_e"),
            Numbers(i["asym_k"], "asym_k"), [.. laxity.Select(g => bone.Select(b => g * b).ToArray())], Numbers(i["pA"], "pA"), Numbers(i["dG"], "dG"), Numbers(i["dB"], "dB"),
            [new(1, 0, Number(i["s_theta"], "s_theta"))], [.. List(i["products"], "products").Select((p, n) => Product(p, $"products[{n}]"))], second,
            ByLaxity(i["toxin"], "toxin", laxity.Length, [(0, 1.0)], (row, at) => [.. List(row, at).Select((x, k) => Dose(x, $"{at}[{k}]"))]), Money(i["toxin_price"], "toxin_price"),
            ByLaxity(i["sessions"], "sessions", laxity.Length, [1.0], Numbers), Money(i["session_price"], "session_price"),
            Money(i["fee"], "fee"), (int)Whole(i["tax_bp"] ?? 0.0, "tax_bp"), (int)Whole(i["kmax"] ?? 30.0, "kmax"), Number(i["smax"] ?? 40.0, "smax"));
        if (read.Products.GroupBy(p => p.Id).FirstOrDefault(g => g.Skip(1).Any()) is { } same) errors.Add($"products: two are called {same.Key}; regions of one product stand in one entry");
        if (errors.Count > before) return null;
        errors.AddRange(read.Faults().Select(Spelt));
        return errors.Count == before ? read : null;
    }

    private static string Spelt(string fault)
    {
        var word = fault.Split(' ')[0];
        return Names.FirstOrDefault(n => n.Ours == word) is { Theirs: { } theirs } ? $"{theirs}:{fault[word.Length..]}" : fault;
    }

    private SecondVisit Second(JsonNode? node) =>
        new(Number(node is JsonObject ? node["p"] : null, "touchup.p"), Number(node is JsonObject ? node["ratio"] : null, "touchup.ratio"), Number(node is JsonObject ? node["sd"] : null, "touchup.sd"));

    private (int, double) Dose(JsonNode? node, string at) =>
        node is JsonArray { Count: 2 } pair ? ((int)Whole(pair[0], at + "[0]"), Number(pair[1], at + "[1]")) : ((int)Whole(null, at), 0);

    private ProductCase Product(JsonNode? node, string at)
    {
        var p = node as JsonObject ?? [];
        if (p["id"] is not JsonValue id || !id.TryGetValue<string>(out var name) || name.Length is 0 or > 64) { errors.Add($"{at}.id: this must be a name"); name = at; }
        return new(
            name, new(Number(p["size"], at + ".size"), Number(p["tol"], at + ".tol"), Whole(p["price"], at + ".price"), Whole(p["price_next"] ?? p["price"], at + ".price_next")),
            [.. List(p["regions"], at + ".regions").Select((r, n) => (R: r as JsonObject ?? [], At: $"{at}.regions[{n}]"))
                .Select(r => new RegionCase(Number(r.R["m"], r.At + ".m"), (int)Whole(r.R["sides"], r.At + ".sides"), Number(r.R["v"], r.At + ".v")))]);
    }

    // Nothing, and an empty list, say that there is no such line.
    private T[][] ByLaxity<T>(JsonNode? node, string at, int levels, T[] none, Func<JsonNode?, string, T[]> read) =>
        node is null or JsonArray { Count: 0 } ? [.. Enumerable.Repeat(none, levels)] : [.. List(node, at).Select((row, n) => read(row, $"{at}[{n}]"))];

    private long Money(JsonNode? node, string at) => node is null ? 0 : Whole(node, at);

    private JsonArray List(JsonNode? node, string at)
    {
        if (node is JsonArray { Count: <= 1000 } list) return list;
        errors.Add($"{at}: this must be a list");
        return [];
    }

    private double[] Numbers(JsonNode? node, string at) => [.. List(node, at).Select((n, i) => Number(n, $"{at}[{i}]"))];

    private double Number(JsonNode? node, string at)
    {
        if (node is JsonValue value && value.TryGetValue<double>(out var number) && double.IsFinite(number)) return number;
        errors.Add($"{at}: this must be a number");
        return 0;
    }

    private long Whole(JsonNode? node, string at)
    {
        var number = Number(node, at);
        if (number == Math.Floor(number) && Math.Abs(number) <= 1e12) return (long)number;
        errors.Add($"{at}: this must be a whole number");
        return 0;
    }
}
