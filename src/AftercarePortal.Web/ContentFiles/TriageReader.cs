using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads the words and rules of triage. Every fault is reported with its place.</summary>
internal static class TriageReader
{
    /// <summary>The lexicon of a content folder, or null with the faults.</summary>
    internal static TriageLexicon? Load(string contentFolder, List<ContentError> errors)
    {
        var path = Path.Combine(contentFolder, "triage", "lower-face.v1.yaml");
        if (File.Exists(path)) return ContentDocument.Load(path, errors) is { } doc ? Read(doc, errors) : null;
        errors.Add(new("triage/lower-face.v1.yaml", 1, 1, "/", "This file is needed and is not there."));
        return null;
    }

    internal static TriageLexicon? Read(ContentDocument doc, List<ContentError> errors)
    {
        var before = errors.Count;
        var atoms = new Dictionary<string, IReadOnlyList<string>>(StringComparer.Ordinal);
        foreach (var (name, forms) in doc.Root["atoms"] as JsonObject ?? [])
        {
            if (Text(forms) is { Length: > 0 } words) atoms[name] = [.. words.Split(' ', StringSplitOptions.RemoveEmptyEntries).Distinct()];
            else doc.Fault(errors, $"/atoms/{name}", "An atom is its forms, parted by spaces.");
        }
        foreach (var missing in TriageLexicon.NeededAtoms.Where(a => !atoms.ContainsKey(a))) doc.Fault(errors, "/atoms", $"The atom {missing} is missing.");
        var concepts = new List<TriageConcept>();
        var rows = doc.Root["concepts"] as JsonArray ?? [];
        if (rows.Count == 0) doc.Fault(errors, "/concepts", "At least one concept is needed.");
        for (var i = 0; i < rows.Count; i++)
        {
            var at = $"/concepts/{i}";
            var row = rows[i] as JsonObject ?? [];
            if (Text(row["id"]) is not { Length: > 0 } id) { doc.Fault(errors, at, "A concept needs an id."); continue; }
            if (concepts.Any(c => c.Id == id)) doc.Fault(errors, at, $"The id {id} stands twice.");
            var tiers = List(row["tiers"]).Select(TierRow).ToArray();
            if (tiers.Length == 0 || tiers.Any(t => t is null)) doc.Fault(errors, at + "/tiers", "A tier row is like '0-14 filler urgent' or 'any urgent'.");
            var frames = List(row["when"]).Select(Frame).ToArray();
            if (frames.Length == 0) doc.Fault(errors, at + "/when", "A concept needs at least one frame.");
            foreach (var atom in frames.SelectMany(f => f.Atoms).Where(a => !TriageLexicon.IsAtom(a, atoms)).Distinct())
                doc.Fault(errors, at + "/when", $"No atom is called {atom}.");
            var source = Text(((row["sources"] as JsonArray)?.FirstOrDefault() as JsonObject)?["id"]);
            if (source is null) doc.Fault(errors, at + "/sources", "A concept needs a source with an id.");
            var drop = row["may_drop"] is JsonValue flag && flag.TryGetValue<bool>(out var may) && may;
            concepts.Add(new(id, Text(row["class"]) ?? "", drop, [.. tiers.OfType<TriageTierRow>()], frames, source ?? ""));
        }
        return errors.Count > before ? null : new(doc.Version, atoms, concepts);
    }

    private static string? Text(JsonNode? node) => node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;

    private static IEnumerable<string> List(JsonNode? node) => (node as JsonArray ?? []).Select(n => Text(n) ?? "");

    private static TriageTierRow? TierRow(string row)
    {
        var words = row.Split(' ');
        var (from, to) = (0, int.MaxValue);
        if (words is [var days, _, _])
        {
            var parts = days.Split('-');
            if (parts.Length != 2 || !int.TryParse(parts[0], CultureInfo.InvariantCulture, out from) || !int.TryParse(parts[1], CultureInfo.InvariantCulture, out to)) return null;
            words = words[1..];
        }
        if (words is not [var product, var tier] || product is not ("any" or "filler" or "toxin")) return null;
        bool? filler = product == "any" ? null : product == "filler";
        return tier switch
        {
            "routine" => new(from, to, filler, Tier.Routine),
            "same-day" => new(from, to, filler, Tier.SameDay),
            "urgent" => new(from, to, filler, Tier.Urgent),
            "emergency" => new(from, to, filler, Tier.Emergency),
            _ => null,
        };
    }

    private static TriageFrame Frame(string frame)
    {
        var words = frame.Split(' ').ToList();
        var within = 8;
        var max = 0;
        if (int.TryParse(words[^1], CultureInfo.InvariantCulture, out var number))
        {
            words.RemoveAt(words.Count - 1);
            if (words[^1] == "max") { max = number; words.RemoveAt(words.Count - 1); }
            else within = number;
        }
        return new(words, within, max);
    }
}
