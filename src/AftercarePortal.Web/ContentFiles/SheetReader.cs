using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads the sheet and the emergency numbers.</summary>
internal static partial class SheetReader
{
    /// <summary>Keys of words the sheet is made of.</summary>
    public static readonly string[] Keys =
        ["title", "treated", "ring", "numbers", "emergency-lead", "clinic-lead", "placed", "lot", "days", "days-say", "days-say-stopped", "placed-nothing", "abroad", "abroad-say", "limits", "limits-say"];

    private static readonly string[] Placeholders = ["{clinic}", "{clinic-line}", "{emergency}", "{date}", "{lot}", "{expiry}"];

    /// <summary>Null, with every fault added, when anything is missing or misspelt.</summary>
    internal static SheetContent? Read(ContentDocument sheet, ContentDocument numbers, List<ContentError> errors)
    {
        var before = errors.Count;
        var read = new FieldReader((at, reason) => sheet.Fault(errors, at, reason));
        var names = Enum.GetValues<Region>().Select(r => SafetyReader.Words(r)).Concat(Enum.GetValues<Side>().Select(s => SafetyReader.Words(s))).Concat(Enum.GetValues<ProductClass>().Select(p => p.Name())).Append("units").ToList();
        var words = ByLanguage("words", Keys);
        var named = ByLanguage("names", names);
        var signs = Signs("signs");
        foreach (var rings in new[] { true, false })
            if (!signs.Exists(s => s.Emergency == rings && s.Products.Count == 0)) read.Fault("/signs", rings ? "No sign rings the emergency number." : "No sign rings the clinic.");
        var notes = Signs("notes");
        var other = new FieldReader((at, reason) => numbers.Fault(errors, at, reason));
        var countries = other.List(numbers.Root["countries"], "/countries").Select((node, i) =>
        {
            var (row, at) = (other.Mapping(node, $"/countries/{i}"), $"/countries/{i}");
            SourceWords.Of(other, row, at);
            return new SheetContent.Country(other.Words(row["country"], $"{at}/country"), Texts.Languages.ToDictionary(l => l, l => other.Words(row[l], $"{at}/{l}")), other.Words(row["number"], $"{at}/number"));
        }).ToList();
        foreach (var twice in countries.GroupBy(c => c.Code).Where(c => c.Count() > 1)) other.Fault("/countries", $"{twice.Key} stands twice.");
        return errors.Count == before ? new(sheet.Version, words, named, signs, notes, countries) : null;

        Dictionary<string, IReadOnlyDictionary<string, string>> ByLanguage(string key, IReadOnlyList<string> keys)
        {
            var rows = read.Mapping(sheet.Root[key], $"/{key}", [.. keys]);
            return Texts.Languages.ToDictionary(l => l, l => (IReadOnlyDictionary<string, string>)keys.ToDictionary(k => k, k => Known(read.Words((rows[k] as JsonObject)?[l], $"/{key}/{k}/{l}"), $"/{key}/{k}/{l}")));
        }

        string Known(string text, string at)
        {
            foreach (var hole in Placeholder().Matches(text).Select(m => m.Value).Except(Placeholders)) read.Fault(at, $"Nothing fills {hole}.");
            return text;
        }

        List<SheetContent.Sign> Signs(string key) =>
        [
            .. read.List(sheet.Root[key], $"/{key}").Select((node, i) =>
            {
                var (row, at) = (read.Mapping(node, $"/{key}/{i}"), $"/{key}/{i}");
                SourceWords.Of(read, row, at);
                return new SheetContent.Sign(
                    row["rings"]?.ToString() == "emergency", [.. (row["products"] as JsonArray ?? []).Select(p => ProductClassNames.Parse(p?.ToString())).OfType<ProductClass>()],
                    Texts.Languages.ToDictionary(l => l, l => Known(read.Words(row[l], $"{at}/{l}"), $"{at}/{l}")));
            }),
        ];
    }

    [GeneratedRegex(@"\{[^}]*\}")]
    private static partial Regex Placeholder();
}
