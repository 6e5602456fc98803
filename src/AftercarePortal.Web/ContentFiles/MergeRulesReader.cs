using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads how aftercare sequences are merged.</summary>
internal static class MergeRulesReader
{
    private static readonly LocalTimePattern WallClock = LocalTimePattern.CreateWithInvariantCulture("HH:mm");

    private static readonly Dictionary<string, Tier> Tiers = new() { ["emergency"] = Tier.Emergency, ["urgent"] = Tier.Urgent, ["same-day"] = Tier.SameDay, ["routine"] = Tier.Routine };

    // An appointment is a date and never a repetition.
    private static readonly StepKind[] Repeatable = [StepKind.Tip, StepKind.CheckIn, StepKind.Safety];

    /// <summary>Null, with every fault added, when anything is missing, misspelt or out of range.</summary>
    internal static MergeRules? Read(ContentDocument doc, List<ContentError> errors)
    {
        var before = errors.Count;
        var read = new FieldReader((at, reason) => doc.Fault(errors, at, reason));
        var first = Products(doc.Root["speaks_first"], "/speaks_first");
        foreach (var missing in Enum.GetValues<ProductClass>().Except(first)) read.Fault("/speaks_first", $"{missing.Name()} is missing.");
        var apart = (int)read.Whole(doc.Root["apart_minutes"], "/apart_minutes", 60, 1440);
        var repeats = read.Mapping(doc.Root["not_again_within_hours"], "/not_again_within_hours", [.. Repeatable.Select(k => k.Name())]);
        var again = Repeatable.Where(k => repeats.ContainsKey(k.Name())).ToDictionary(k => k, k => (int)read.Whole(repeats[k.Name()], $"/not_again_within_hours/{k.Name()}", 1, 48));
        var late = (int)read.Whole(doc.Root["late_safety_days"], "/late_safety_days", 1, 60);
        var touched = read.Mapping(doc.Root["touch_up"], "/touch_up", "leaves_out", "from_first", "from_first_after_days");
        var touchUp = new TouchUpRules(
            [.. read.List(touched["leaves_out"], "/touch_up/leaves_out").Select((n, i) => LeftOut(n, $"/touch_up/leaves_out/{i}"))],
            [.. read.List(touched["from_first"], "/touch_up/from_first").Select((n, i) => read.Words(n, $"/touch_up/from_first/{i}"))],
            (int)read.Whole(touched["from_first_after_days"], "/touch_up/from_first_after_days", 0, 400));
        var hours = read.Mapping(doc.Root["quiet_by_default"], "/quiet_by_default", "from", "to");
        var quiet = new QuietHours(Time(hours, "from"), Time(hours, "to"));
        var shared = Each("/shared_texts", "shared_texts", (row, at) => new SharedText(
            read.Words(row["id"], $"{at}/id"), Products(row["any_of"], $"{at}/any_of"), Products(row["with"], $"{at}/with"),
            (int)read.Whole(row["through_day"], $"{at}/through_day", 0, 400),
            read.Mapping(row["instead"], $"{at}/instead").ToDictionary(p => p.Key, p => read.Words(p.Value, $"{at}/instead/{p.Key}"))));
        var conflicts = Each("/conflicts", "conflicts", (row, at) => new AdviceConflict(
            read.Words(row["topic"], $"{at}/topic"), (int)read.Whole(row["within_days"], $"{at}/within_days", 0, 400), read.Words(row["says"], $"{at}/says")));
        var named = Each("/must_name", "must_name", (row, at) => new NamedSigns(
            Products(row["products"], $"{at}/products"), (int)read.Whole(row["through_day"], $"{at}/through_day", 0, 400),
            Texts.Languages.ToDictionary(l => l, l => Words(row[l], $"{at}/{l}"))));
        var open = read.Mapping(doc.Root["held_while_open"], "/held_while_open", [.. Tiers.Keys]);
        var held = Tiers.ToDictionary(t => t.Value, t => (IReadOnlyList<StepKind>)[.. (open[t.Key] as JsonArray ?? []).Select((n, i) => Kind(n, $"/held_while_open/{t.Key}/{i}"))]);
        return errors.Count == before ? new(doc.Version, first, apart, again, late, touchUp, quiet, shared, conflicts, named, held) : null;

        StepKind Kind(JsonNode? node, string at)
        {
            if (StepKindNames.Parse(read.Words(node, at)) is { } kind) return kind;
            read.Fault(at, "This must be safety, check-in, appointment or tip.");
            return default;
        }

        // A touch-up is an injection: what warns or asks how it is starts again with it.
        StepKind LeftOut(JsonNode? node, string at)
        {
            var kind = Kind(node, at);
            if (kind is StepKind.Safety or StepKind.CheckIn) read.Fault(at, "A touch-up never leaves out a safety or check-in step.");
            return kind;
        }

        List<T> Each<T>(string at, string key, Func<JsonObject, string, T> make) =>
            [.. read.List(doc.Root[key], at).Select((node, i) => make(read.Mapping(node, $"{at}/{i}"), $"{at}/{i}"))];

        List<ProductClass> Products(JsonNode? node, string at)
        {
            var found = new List<ProductClass>();
            foreach (var (item, i) in read.List(node, at).Select((n, i) => (n, i)))
                if (ProductClassNames.Parse(read.Words(item, $"{at}/{i}")) is { } product) found.Add(product);
                else read.Fault($"{at}/{i}", "This must be the written name of a product class, for example CaHA filler.");
            return found;
        }

        IReadOnlyList<IReadOnlyList<string>> Words(JsonNode? node, string at) =>
            [.. read.List(node, at).Select((any, i) => (IReadOnlyList<string>)[.. read.List(any, $"{at}/{i}").Select((word, j) => read.Words(word, $"{at}/{i}/{j}"))])];

        LocalTime Time(JsonObject row, string name)
        {
            var time = WallClock.Parse(read.Words(row[name], $"/quiet_by_default/{name}"));
            if (!time.Success) read.Fault($"/quiet_by_default/{name}", "This must be a quoted time of day, for example \"21:00\".");
            return time.Success ? time.Value : default;
        }
    }
}
