using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads fields one by one and reports each fault at its JSON pointer; what is wrong comes back as nothing or 0.</summary>
/// <param name="fault">Takes pointer and reason.</param>
internal sealed class FieldReader(Action<string, string> fault)
{
    /// <summary>A mapping with only these keys; with no keys given, any.</summary>
    public JsonObject Mapping(JsonNode? node, string at, params string[] keys)
    {
        if (node is not JsonObject row)
        {
            fault(at, node is null ? "This is missing." : "This must be a mapping.");
            return [];
        }

        foreach (var key in keys.Length > 0 ? row.Select(p => p.Key).Except(keys) : []) fault($"{at}/{key}", "No such key is known here.");
        return row;
    }

    /// <summary>A number from low to high.</summary>
    public double Number(JsonNode? node, string at, double low, double high)
    {
        if (node is JsonValue && node.GetValueKind() == JsonValueKind.Number && double.Parse(node.ToJsonString(), CultureInfo.InvariantCulture) is var number && number >= low && number <= high) return number;
        fault(at, string.Create(CultureInfo.InvariantCulture, $"This must be a number from {low} to {high}."));
        return 0;
    }

    /// <summary>A whole number from low to high.</summary>
    public long Whole(JsonNode? node, string at, long low, long high)
    {
        if (node is JsonValue && node.GetValueKind() == JsonValueKind.Number && long.TryParse(node.ToJsonString(), CultureInfo.InvariantCulture, out var number) && number >= low && number <= high) return number;
        fault(at, $"This must be a whole number from {low} to {high}.");
        return 0;
    }

    /// <summary>Words.</summary>
    public string Words(JsonNode? node, string at)
    {
        if (node is JsonValue value && value.TryGetValue<string>(out var text) && !string.IsNullOrWhiteSpace(text)) return text;
        fault(at, "These words are missing.");
        return "";
    }

    /// <summary>A list.</summary>
    public JsonArray List(JsonNode? node, string at)
    {
        if (node is JsonArray { Count: > 0 } list) return list;
        fault(at, "This must be a list with something in it.");
        return [];
    }

    /// <summary>A list of numbers, each from low to high.</summary>
    public double[] Numbers(JsonNode? node, string at, double low, double high) => [.. List(node, at).Select((n, i) => Number(n, $"{at}/{i}", low, high))];

    /// <summary>Probabilities that add up to 1.</summary>
    public double[] Chances(JsonNode? node, string at)
    {
        var chances = Numbers(node, at, 0, 1);
        AddUp(chances, at);
        return chances;
    }

    /// <summary>The same by name.</summary>
    public Dictionary<string, double> NamedChances(JsonNode? node, string at)
    {
        var chances = Mapping(node, at).ToDictionary(p => p.Key, p => Number(p.Value, $"{at}/{p.Key}", 0, 1));
        AddUp(chances.Values, at);
        return chances;
    }

    /// <summary>Sentences by name: all of these and no other.</summary>
    public Dictionary<string, string> NamedWords(JsonNode? node, string at, IReadOnlyList<string> names)
    {
        var row = Mapping(node, at, [.. names]);
        return names.ToDictionary(name => name, name => Words(row[name], $"{at}/{name}"));
    }

    /// <summary>Reports when probabilities do not add up.</summary>
    public void AddUp(IEnumerable<double> chances, string at)
    {
        if (!(Math.Abs(chances.Sum() - 1) < 1e-9)) fault(at, "These must be probabilities that add up to 1.");
    }

    /// <summary>Reports a fault of the caller's own.</summary>
    public void Fault(string at, string reason) => fault(at, reason);
}
