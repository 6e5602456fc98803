using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads one aftercare sequence from content.</summary>
internal static class AftercareReader
{
    private static readonly LocalTimePattern WallClock = LocalTimePattern.CreateWithInvariantCulture("HH:mm");

    /// <summary>Null, with every fault added, when anything is missing, misspelt or out of range.</summary>
    internal static AftercareSequence? Read(ContentDocument doc, List<ContentError> errors)
    {
        var before = errors.Count;
        var product = ProductClassNames.Parse(Text(doc.Root, "product"));
        if (product is null) doc.Fault(errors, "/product", "This must be the written name of a product class, for example CaHA filler.");
        var steps = new List<Step>();
        if (doc.Root["steps"] is JsonArray { Count: > 0 } rows)
            for (var i = 0; i < rows.Count; i++) Add(rows[i], $"/steps/{i}");
        else
            doc.Fault(errors, "/steps", "A sequence needs at least one step.");
        return errors.Count == before ? new(doc.Version, product!.Value, steps) : null;

        void Add(JsonNode? node, string at)
        {
            var faults = errors.Count;
            if (node is not JsonObject row)
            {
                doc.Fault(errors, at, "A step is a mapping.");
                return;
            }

            var id = Needed(row, "id", at);
            var text = Needed(row, "text", at);
            if (steps.Exists(s => s.Id == id)) doc.Fault(errors, $"{at}/id", "Another step has this id.");
            var day = Whole(row, "day", at, 400);
            var time = WallClock.Parse(Text(row, "at") ?? "");
            if (!time.Success) doc.Fault(errors, $"{at}/at", "This must be a quoted time of day, for example \"09:30\".");
            var kind = StepKindNames.Parse(Text(row, "kind"));
            if (kind is null) doc.Fault(errors, $"{at}/kind", "This must be safety, check-in, appointment or tip.");
            var missed = Missed(row["missed"], $"{at}/missed", kind);
            var sources = Sources(row["sources"], $"{at}/sources");
            if (errors.Count == faults) steps.Add(new(id!, day, time.Value, text!, kind!.Value, missed!, sources) { Advises = Advises(row["advises"], $"{at}/advises") });
        }

        List<Advice> Advises(JsonNode? node, string at)
        {
            var found = new List<Advice>();
            foreach (var (topic, stance) in node as JsonObject ?? [])
                if (stance is JsonValue value && value.TryGetValue<string>(out var word) && word is "do" or "avoid") found.Add(new(topic, word == "avoid"));
                else doc.Fault(errors, $"{at}/{topic}", "This must be do or avoid.");
            return found;
        }

        WhenMissed? Missed(JsonNode? node, string at, StepKind? kind)
        {
            if (node is not JsonObject row)
            {
                doc.Fault(errors, at, "A step says what becomes of it when missed: within_hours and then.");
                return null;
            }

            MissedAction? then = Text(row, "then") switch { "send" => MissedAction.Send, "merge" => MissedAction.Merge, "skip" => MissedAction.Skip, _ => null };
            if (then is null) doc.Fault(errors, $"{at}/then", "This must be send, merge or skip.");
            // A warning may come late or within another, but it is never dropped.
            if (then is MissedAction.Skip && kind is StepKind.Safety or StepKind.CheckIn)
                doc.Fault(errors, $"{at}/then", "A safety or check-in step is never skipped; say send or merge.");
            return then is { } action ? new(Whole(row, "within_hours", at, 240), action) : null;
        }

        List<Citation> Sources(JsonNode? node, string at)
        {
            var found = new List<Citation>();
            if (node is not JsonArray { Count: > 0 } rows)
            {
                doc.Fault(errors, at, "Every step names its sources.");
                return found;
            }

            for (var i = 0; i < rows.Count; i++)
            {
                var row = rows[i] as JsonObject ?? [];
                if (Text(row, "id") is { Length: > 0 } id && Enum.GetNames<Grade>().Contains(Text(row, "grade")) &&
                    row["seen"] is JsonValue flag && flag.TryGetValue<bool>(out var seen))
                    found.Add(new(id, Enum.Parse<Grade>(Text(row, "grade")!), seen));
                else
                    doc.Fault(errors, $"{at}/{i}", "A source is { id, grade: R, A, B, C or D, seen: true or false }.");
            }

            return found;
        }

        int Whole(JsonObject row, string name, string at, int most)
        {
            if (row[name] is JsonValue value && value.TryGetValue<int>(out var number) && number >= 0 && number <= most) return number;
            doc.Fault(errors, $"{at}/{name}", $"This must be a whole number from 0 to {most}.");
            return 0;
        }

        string? Needed(JsonObject row, string name, string at)
        {
            if (Text(row, name) is { Length: > 0 } text) return text;
            doc.Fault(errors, $"{at}/{name}", "This is missing.");
            return null;
        }
    }

    private static string? Text(JsonObject row, string name) => row[name] is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;
}
