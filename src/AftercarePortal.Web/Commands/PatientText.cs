using System.Text.Json;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.Commands;

/// <summary>One JSON line of a patient's text, with what is known beside the words.</summary>
internal sealed record PatientText(JsonObject Row, string Text, ReadingContext Context)
{
    /// <summary>The text of a line, or null with the reason.</summary>
    internal static PatientText? Parse(string line, out string reason)
    {
        reason = "";
        try
        {
            if (JsonNode.Parse(line) is not JsonObject row) { reason = "not a JSON object"; return null; }
            _ = row.Count;                                  // a name that stands twice shows only now
            if (row["text"]?.GetValue<string>() is not { } text) { reason = "\"text\" is missing"; return null; }
            var products = new List<ProductClass>();
            foreach (var name in (row["product"]?.GetValue<string>() ?? "").Split('+', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
            {
                if (ProductClassNames.Parse(name) is not { } product) { reason = $"\"product\" names an unknown class: {name}"; return null; }
                products.Add(product);
            }
            return new(row, text, new(row["day"]?.GetValue<int>(), products, Media(row["media"])));
        }
        catch (Exception fault) when (fault is JsonException or ArgumentException)
        {
            reason = "not readable as JSON";
            return null;
        }
        catch (Exception fault) when (fault is InvalidOperationException or FormatException)
        {
            reason = "a field has the wrong kind: \"text\" and \"product\" are strings, \"day\" a whole number, \"media\" a count";
            return null;
        }
    }

    private static int Media(JsonNode? media) => media switch
    {
        null => 0,
        JsonArray list => list.Count,
        JsonValue value when value.TryGetValue<bool>(out var any) => any ? 1 : 0,
        _ => media.GetValue<int>(),
    };
}
