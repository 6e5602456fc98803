using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Products;
using NodaTime;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>What no single aftercare file can know: times in quiet hours, texts missing in a language or too long, signs a merged plan leaves unnamed.</summary>
internal static class AftercareCheck
{
    private static readonly Dictionary<string, string> Longest = new()
    {
        ["emergency"] = "911", ["clinic-line"] = "+1 212 555 0142", ["clinic"] = "Wrenfold Clinic", ["day"] = "100", ["ref"] = "7KQ", ["link"] = "https://portal.example/p/7KQ",
    };

    /// <summary>Adds every fault.</summary>
    /// <param name="languages">The texts of each language, only its own.</param>
    public static void Run(AftercareSequences aftercare, IReadOnlyDictionary<string, Texts> languages, List<ContentError> errors)
    {
        foreach (var sequence in aftercare.Sequences)
            foreach (var step in sequence.Steps.Where(s => aftercare.Rules.Quiet.Hold(s.At)))
                errors.Add(new($"aftercare/{sequence.Version}.yaml", 1, 1, $"/{step.Id}/at", "This lies in the quiet hours a clinic has by default."));
        foreach (var product in aftercare.Uncovered(Enum.GetValues<ProductClass>()))
            errors.Add(new("aftercare", 1, 1, $"/{product.Name()}", "No sequence speaks of this product class."));
        var needed = aftercare.Sequences.SelectMany(s => s.Steps).Select(s => s.TextId).Concat(aftercare.Rules.Shared.SelectMany(s => s.Instead.Values)).Distinct().ToList();
        foreach (var (id, i) in aftercare.Rules.TouchUp.FromFirst.Select((id, i) => (id, i)).Where(f => !needed.Contains(f.id)))
            errors.Add(new($"merging/{aftercare.Rules.Version}.yaml", 1, 1, $"/touch_up/from_first/{i}", "No sequence sends this text."));
        foreach (var (language, texts) in languages)
        {
            foreach (var id in needed.Except(texts.Ids)) errors.Add(new($"texts/{language}", 1, 1, $"/{id}", "This text is needed in this language and is not there."));
            foreach (var id in texts.Ids.Where(id => !SmsLength.IsOnePart(texts.FillWhatIsKnown(id, Longest))))
                errors.Add(new($"texts/{language}", 1, 1, $"/{id}", "With a phone number filled in, this does not fit one part of a text message."));
            if (needed.All(texts.Ids.Contains)) Signs(aftercare, language, texts, errors);
        }
    }

    // Every mix of classes given on one day, each pair eight days apart, and each class touched up then or shortly before a photo is asked for.
    private static void Signs(AftercareSequences aftercare, string language, Texts texts, List<ContentError> errors)
    {
        var all = Enum.GetValues<ProductClass>();
        var day = new LocalDate(2026, 6, 1);
        var noon = Instant.FromUtc(2026, 6, 1, 12, 0);
        var apart = Duration.FromDays(8);
        var plans = Enumerable.Range(1, (1 << all.Length) - 1).Select(mix => new List<Given> { new(day, noon, [.. all.Where((_, i) => (mix >> i & 1) == 1)]) })
            .Concat(all.SelectMany(one => all.Where(other => other != one).Select(other => new List<Given> { new(day, noon, [one]), new(day.PlusDays(8), noon + apart, [other]) })))
            .Concat(all.SelectMany(one => new[] { 8, 80, 170 }.Select(later => new List<Given> { new(day, noon, [one]), new(day.PlusDays(later), noon + Duration.FromDays(later), [one]) { TouchesUp = day } })));
        foreach (var given in plans)
            foreach (var step in aftercare.PlanFor(given[^1], given[..^1], DateTimeZone.Utc, aftercare.Rules.Quiet).Steps.Where(s => s.Step.Kind is not StepKind.Appointment))
                foreach (var sign in aftercare.Rules.Named.Where(n => given.Exists(g => g.Products.Intersect(n.Products).Any() && Period.DaysBetween(g.On, step.DueAt.InUtc().Date) <= n.ThroughDay)))
                    foreach (var words in sign.Words[language].Where(any => !any.Any(word => texts.Template(step.TextId).Contains(word, StringComparison.OrdinalIgnoreCase))))
                    {
                        var fault = new ContentError($"texts/{language}", 1, 1, $"/{step.TextId}", $"Sent when {string.Join(" and ", given.SelectMany(g => g.Products).Select(p => p.Name()))} was given, it must name one of: {string.Join(", ", words)}.");
                        if (!errors.Exists(e => e.Path == fault.Path && e.File == fault.File)) errors.Add(fault);
                    }
    }
}
