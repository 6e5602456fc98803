using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads what to have at hand, to think of and not to go beyond; and published figures beside measures.</summary>
internal static class SafetyReader
{
    /// <summary>Null, with every fault added, when anything is missing or misspelt.</summary>
    internal static SafetyRules? Read(ContentDocument doc, List<ContentError> errors)
    {
        var before = errors.Count;
        var read = new FieldReader((at, reason) => doc.Fault(errors, at, reason));
        var kit = Each("kit", (row, at) => new KitItem(read.Words(row["id"], $"{at}/id"), read.Words(row["says"], $"{at}/says"), row["expires"] is JsonValue flag && flag.TryGetValue<bool>(out var expires) && expires, SourceWords.Of(read, row, at)));
        if (kit.Select(k => k.Id).Distinct().Count() != kit.Count) read.Fault("/kit", "Two things of the kit have one id.");
        var reminders = Each("reminders", (row, at) => new SafetyReminder(Regions(row["regions"], $"{at}/regions"), Products(row["products"], $"{at}/products"), read.Words(row["says"], $"{at}/says"), SourceWords.Of(read, row, at)));
        var limits = Each("limits", (row, at) =>
        {
            if (ProductClassNames.Parse(read.Words(row["product"], $"{at}/product")) is not { } product)
            {
                read.Fault($"{at}/product", "This must be the written name of a product class, for example CaHA filler.");
                return null;
            }

            var says = read.Words(row["says"], $"{at}/says");
            if (!says.Contains("{amount}", StringComparison.Ordinal)) read.Fault($"{at}/says", "This must name {amount}.");
            bool? touchUp = row["visits"] is null ? null : read.Words(row["visits"], $"{at}/visits") == "touch-up";
            return new AmountLimit(product, Regions(row["regions"], $"{at}/regions"), read.Words(row["per"], $"{at}/per") == "side", touchUp, (decimal)read.Number(row["most"], $"{at}/most", 0.01, 1000), says, SourceWords.Of(read, row, at));
        });
        var devices = Each("devices", (row, at) => new SafetyPrompt(read.Words(row["says"], $"{at}/says"), SourceWords.Of(read, row, at)));
        return errors.Count == before ? new(doc.Version, kit, reminders, [.. limits.OfType<AmountLimit>()], devices) : null;

        List<T> Each<T>(string key, Func<JsonObject, string, T> make) => [.. read.List(doc.Root[key], $"/{key}").Select((node, i) => make(read.Mapping(node, $"/{key}/{i}"), $"/{key}/{i}"))];

        List<Region> Regions(JsonNode? node, string at) => Names(node, at, name => Enum.GetValues<Region>().Where(r => Words(r) == name).Select(r => (Region?)r).FirstOrDefault(), "a region, for example jaw angle");

        List<ProductClass> Products(JsonNode? node, string at) => Names(node, at, ProductClassNames.Parse, "the written name of a product class, for example CaHA filler");

        List<T> Names<T>(JsonNode? node, string at, Func<string, T?> parse, string what) where T : struct
        {
            var found = new List<T>();
            foreach (var (item, i) in (node as JsonArray ?? []).Select((n, i) => (n, i)))
                if (parse(read.Words(item, $"{at}/{i}")) is { } name) found.Add(name);
                else read.Fault($"{at}/{i}", $"This must be {what}.");
            return found;
        }
    }

    /// <summary>Published figures; a fault is added for a measure nobody takes.</summary>
    internal static IReadOnlyList<JawNorm> Norms(ContentDocument doc, List<ContentError> errors)
    {
        var read = new FieldReader((at, reason) => doc.Fault(errors, at, reason));
        var known = Enum.GetValues<ProfileMeasure>().Select(m => Words(m)).ToList();
        return
        [
            .. read.List(doc.Root["norms"], "/norms").Select((node, i) =>
            {
                var (row, at) = (read.Mapping(node, $"/norms/{i}"), $"/norms/{i}");
                var measure = read.Words(row["measure"], $"{at}/measure");
                if (!known.Contains(measure)) read.Fault($"{at}/measure", $"This must be one of: {string.Join(", ", known)}.");
                return new JawNorm(measure, read.Words(row["says"], $"{at}/says"), SourceWords.Of(read, row, at));
            }),
        ];
    }

    /// <summary>For example <c>JawAngle</c> as <c>jaw angle</c>: how content writes a name of the core.</summary>
    internal static string Words<T>(T name) where T : struct, Enum =>
        string.Concat(name.ToString().Select((c, i) => char.IsUpper(c) ? (i > 0 ? " " : "") + char.ToLowerInvariant(c) : c.ToString()));
}
