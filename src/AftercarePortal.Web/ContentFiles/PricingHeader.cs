using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Sources;
using NodaTime.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>What every pricing file says of itself, and where each of its numbers says to come from.</summary>
internal static class PricingHeader
{
    /// <summary>Reports what is missing from the header.</summary>
    internal static void Check(ContentDocument doc, FieldReader fields)
    {
        if (Text(doc.Root["status"]) is not ("draft" or "published" or "withdrawn")) fields.Fault("/status", "The status is draft, published or withdrawn.");
        if (!LocalDatePattern.Iso.Parse(Text(doc.Root["effective"]) ?? "").Success) fields.Fault("/effective", "This must be a date, YYYY-MM-DD.");
        foreach (var key in (string[])["language", "says", "not_for"]) fields.Words(doc.Root[key], "/" + key);
        if (doc.Root["signed_by"] is not JsonObject signed) fields.Fault("/signed_by", "The header says who signed it: name, role and date, or null for nobody yet.");
        else if (Text(doc.Root["status"]) == "published" && (Text(signed["name"]) is null || Text(signed["role"]) is null || Text(signed["date"]) is null))
            fields.Fault("/signed_by", "A published file is signed with name, role and date.");
    }

    /// <summary>Reports a number that does not say where it comes from.</summary>
    internal static void CheckOrigin(JsonObject row, string at, FieldReader fields)
    {
        var tag = Text(row["tag"]);
        if (tag is not ("lit" or "practice" or "memory" or "demo")) fields.Fault($"{at}/tag", "This says where the numbers come from: lit, practice, memory or demo.");
        if (row["sources"] is null)
        {
            if (tag == "lit") fields.Fault($"{at}/sources", "Numbers from the literature name their sources.");
            return;
        }

        foreach (var (node, i) in fields.List(row["sources"], $"{at}/sources").Select((n, i) => (n as JsonObject, i)))
            if (Text(node?["id"]) is not { Length: > 0 } || !Enum.GetNames<Grade>().Contains(Text(node?["grade"])) || node?["seen"] is not JsonValue seen || !seen.TryGetValue<bool>(out _))
                fields.Fault($"{at}/sources/{i}", "A source is { id, grade: R, A, B, C or D, seen: true or false }.");
    }

    internal static string? Text(JsonNode? node) => node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;
}
