using System.Text.Json.Nodes;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Words that may stand for each other in the phrases of the lexicon: <c>{cant}_breathe</c> is written once and means every way of saying "can't".</summary>
internal sealed class WordGroups
{
    private const int MostForms = 6_000;
    private readonly ContentDocument doc;
    private readonly Dictionary<string, string[]> groups = new(StringComparer.Ordinal);

    private WordGroups(ContentDocument doc) => this.doc = doc;

    internal static WordGroups Read(ContentDocument doc, List<ContentError> errors)
    {
        var all = new WordGroups(doc);
        foreach (var (name, node) in doc.Root["groups"] as JsonObject ?? [])
        {
            var text = node is JsonValue value && value.TryGetValue<string>(out var words) ? words : "";
            var at = $"/groups/{name}";
            all.groups[name] = [.. text.Split([' ', '\n'], StringSplitOptions.RemoveEmptyEntries).SelectMany(form => all.Spelt(form, at, errors)).Distinct()];
            if (all.groups[name].Length == 0) doc.Fault(errors, at, "A group is its words, parted by spaces.");
        }
        return all;
    }

    /// <summary>A form with every group in it spelt out; a group may use those above it.</summary>
    internal IEnumerable<string> Spelt(string form, string at, List<ContentError> errors)
    {
        var open = form.IndexOf('{', StringComparison.Ordinal);
        if (open < 0) return [form];
        var close = form.IndexOf('}', open);
        if (close < 0 || !groups.TryGetValue(form[(open + 1)..close], out var words))
        {
            doc.Fault(errors, at, $"No group above is called so: {form}.");
            return [];
        }
        var rest = Spelt(form[(close + 1)..], at, errors).ToArray();
        if (words.Length * rest.Length <= MostForms) return words.SelectMany(w => rest.Select(r => form[..open] + w + r));
        doc.Fault(errors, at, $"{form} stands for {words.Length * rest.Length} phrases; the most is {MostForms}.");
        return [];
    }
}
