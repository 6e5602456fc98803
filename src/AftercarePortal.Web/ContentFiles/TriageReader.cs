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
        var folder = Path.Combine(contentFolder, "triage");
        var (words, common) = (ContentVersions.Newest(folder, "lower-face", "yaml", errors), ContentVersions.Newest(folder, "common-words", "yaml", errors));
        return words is null || common is null ? null : Read(words, common, errors);
    }

    private static TriageLexicon? Read(ContentDocument doc, ContentDocument common, List<ContentError> errors)
    {
        var before = errors.Count;
        var atoms = new Dictionary<string, IReadOnlyList<string>>(StringComparer.Ordinal);
        var groups = WordGroups.Read(doc, errors);
        foreach (var (name, forms) in doc.Root["atoms"] as JsonObject ?? [])
        {
            var words = string.Join(' ', (forms as JsonObject ?? []).Select(f => Text(f.Value)));
            if (words.Trim().Length > 0) atoms[name] = [.. words.Split([' ', '\n'], StringSplitOptions.RemoveEmptyEntries).SelectMany(form => groups.Spelt(form, $"/atoms/{name}", errors)).Distinct()];
            else doc.Fault(errors, $"/atoms/{name}", "An atom is its forms by language, each parted by spaces.");
        }
        foreach (var (name, form) in atoms.SelectMany(a => a.Value.Select(f => (a.Key, f))).Where(f => f.f.TrimEnd('*').Contains('*') || (f.f.Contains('_') && f.f.EndsWith('*'))))
            doc.Fault(errors, $"/atoms/{name}", $"A star ends a single word, never a phrase: {form}.");
        foreach (var missing in TriageLexicon.NeededAtoms.Where(a => !atoms.ContainsKey(a))) doc.Fault(errors, "/atoms", $"The atom {missing} is missing.");
        var concepts = new List<TriageConcept>();
        var rows = doc.Root["concepts"] as JsonArray ?? [];
        if (rows.Count == 0) doc.Fault(errors, "/concepts", "At least one concept is needed.");
        for (var i = 0; i < rows.Count; i++)
            if (Concept(doc, rows[i] as JsonObject ?? [], $"/concepts/{i}", atoms, concepts, errors) is { } concept) concepts.Add(concept);
        var names = (doc.Root["names"] as JsonObject ?? []).ToDictionary(n => n.Key, n => Text(n.Value) ?? "");
        foreach (var nameless in concepts.Select(c => c.Id).Append(TriageLexicon.VascularId).Where(id => !names.ContainsKey(id)))
            doc.Fault(errors, "/names", $"{nameless} needs a name that staff can read.");
        foreach (var unknown in names.Keys.Where(id => id != TriageLexicon.VascularId && concepts.All(c => c.Id != id))) doc.Fault(errors, $"/names/{unknown}", "No concept has this id.");
        var used = concepts.SelectMany(c => c.When).SelectMany(f => f.Atoms.Concat(f.Without).Concat(f.NotAfter)).Concat(TriageLexicon.NeededAtoms).ToHashSet();
        foreach (var unused in atoms.Keys.Where(a => !used.Contains(a))) doc.Fault(errors, $"/atoms/{unused}", "No concept and no rule uses this atom.");
        var shorthand = (doc.Root["shorthand"] as JsonObject ?? []).ToDictionary(s => s.Key, s => Text(s.Value) ?? "");
        foreach (var empty in shorthand.Where(s => s.Value.Length == 0)) doc.Fault(errors, $"/shorthand/{empty.Key}", "A short form needs the word it stands for.");
        TriageContradictions.Check(doc, atoms, concepts, shorthand.Keys, errors);
        var everyday = $"{Text(common.Root["en"])} {Text(common.Root["es"])} {Text(common.Root["also"])}".Split([' ', '\n'], StringSplitOptions.RemoveEmptyEntries);
        if (everyday.Length == 0) common.Fault(errors, "/en", "Everyday words are needed, under en and es.");
        return errors.Count > before ? null : new(doc.Version, atoms, concepts, shorthand, everyday, names);
    }

    private static TriageConcept? Concept(
        ContentDocument doc, JsonObject row, string at, Dictionary<string, IReadOnlyList<string>> atoms, List<TriageConcept> before, List<ContentError> errors)
    {
        if (Text(row["id"]) is not { Length: > 0 } id) { doc.Fault(errors, at, "A concept needs an id."); return null; }
        if (before.Any(c => c.Id == id)) doc.Fault(errors, at, $"The id {id} stands twice.");
        var tiers = List(row["tiers"]).Select(TierRow).ToArray();
        if (tiers.Length == 0 || tiers.Any(t => t is null)) doc.Fault(errors, at + "/tiers", "A tier row is like '0-14 filler urgent' or 'any urgent'.");
        var frames = List(row["when"]).Select(Frame).ToArray();
        if (frames.Length == 0) doc.Fault(errors, at + "/when", "A concept needs at least one frame.");
        if (frames.Any(f => f.Atoms.Count is 0 or > TriageFrame.MostAtoms)) doc.Fault(errors, at + "/when", $"A frame has one to {TriageFrame.MostAtoms} atoms.");
        foreach (var atom in frames.SelectMany(f => f.Atoms.Concat(f.Without).Concat(f.NotAfter)).Where(a => !TriageLexicon.IsAtom(a, atoms)).Distinct())
            doc.Fault(errors, at + "/when", $"No atom is called {atom}.");
        var source = Text(((row["sources"] as JsonArray)?.FirstOrDefault() as JsonObject)?["id"]);
        if (source is null) doc.Fault(errors, at + "/sources", "A concept needs a source with an id.");
        var drop = row["may_drop"] is JsonValue flag && flag.TryGetValue<bool>(out var may) && may;
        if (drop && tiers.OfType<TriageTierRow>().Any(t => t.Tier == Tier.Emergency)) doc.Fault(errors, at + "/may_drop", "An emergency may not be dropped.");
        return new(id, Text(row["class"]) ?? "", drop, [.. tiers.OfType<TriageTierRow>()], frames, source ?? "", Yes(row["only_beside_another"]), Yes(row["rightly_spelt"]));
    }

    private static bool Yes(JsonNode? node) => node?.GetValueKind() == System.Text.Json.JsonValueKind.True;

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
        var words = frame.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        var (within, max, nextIsMax) = (8, 0, false);
        var (atoms, without, notAfter) = (new List<string>(), new List<string>(), new List<string>());
        foreach (var word in words)
        {
            if (word == ">") continue;
            if (word == "max") nextIsMax = true;
            else if (word.StartsWith("!>", StringComparison.Ordinal)) notAfter.Add(word[2..]);
            else if (word.StartsWith('!')) without.Add(word[1..]);
            else if (!int.TryParse(word, CultureInfo.InvariantCulture, out var number)) atoms.Add(word);
            else if (nextIsMax) max = number;
            else within = number;
        }
        return new(atoms, within, max, words.Contains(">"), without, notAfter);
    }
}
