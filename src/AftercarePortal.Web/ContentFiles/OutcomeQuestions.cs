using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>What a patient is asked at a review about the result, on plain scales of our own; no validated instrument.</summary>
/// <param name="Version">The file that says so.</param>
/// <param name="Days">Days after treatment on which a review asks; ascending.</param>
/// <param name="Words">Language → key → words, with placeholders.</param>
/// <param name="Questions">In order.</param>
internal sealed record OutcomeQuestions(
    ContentVersion Version, IReadOnlyList<int> Days, IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> Words, IReadOnlyList<OutcomeQuestions.Question> Questions)
{
    /// <summary>Keys of words the page is made of.</summary>
    public static readonly string[] Keys = ["title", "lead", "words", "signs", "send", "kept", "none"];

    /// <summary>One question.</summary>
    /// <param name="Id">Stays the same over versions, for counting.</param>
    /// <param name="Says">By language.</param>
    internal sealed record Question(string Id, IReadOnlyDictionary<string, string> Says, IReadOnlyList<Option> Options);

    /// <summary>One answer to choose.</summary>
    /// <param name="Talk">The clinician is told to speak about it; no finding.</param>
    internal sealed record Option(string Id, IReadOnlyDictionary<string, string> Says, bool Talk);

    /// <summary>The answers the clinician is told to speak about, in the order of the questions. No score, no finding.</summary>
    /// <param name="chosen">Question id → option id.</param>
    public IReadOnlyList<(Question Question, Option Option)> TalkAbout(IReadOnlyDictionary<string, string> chosen) =>
        [.. Questions.Select(q => (q, Option: q.Options.FirstOrDefault(o => o.Id == chosen.GetValueOrDefault(q.Id)))).Where(a => a.Option is { Talk: true }).Select(a => (a.q, a.Option!))];

    /// <summary>Days of a review that have come with nothing answered until the next.</summary>
    /// <param name="today">Days since the treatment, 0 or more.</param>
    /// <param name="answeredOn">Days something was answered on.</param>
    public IReadOnlyList<int> Unanswered(int today, IReadOnlyCollection<int> answeredOn) =>
        [.. Days.Zip(Days.Skip(1).Append(int.MaxValue)).Where(d => d.First <= today && !answeredOn.Any(on => on >= d.First && on < d.Second)).Select(d => d.First)];

    /// <summary>Null, with every fault added, when anything is missing or misspelt.</summary>
    internal static OutcomeQuestions? Read(ContentDocument doc, List<ContentError> errors)
    {
        var before = errors.Count;
        var read = new FieldReader((at, reason) => doc.Fault(errors, at, reason));
        var days = read.List(doc.Root["days"], "/days").Select((n, i) => (int)read.Whole(n, $"/days/{i}", 1, 400)).Order().ToList();
        var rows = read.Mapping(doc.Root["words"], "/words", Keys);
        var words = Texts.Languages.ToDictionary(l => l, l => (IReadOnlyDictionary<string, string>)Keys.ToDictionary(k => k, k => read.Words((rows[k] as JsonObject)?[l], $"/words/{k}/{l}")));
        foreach (var language in Texts.Languages)
            foreach (var hole in new[] { "{clinic-line}", "{emergency}" })
                if (!words[language]["signs"].Contains(hole, StringComparison.Ordinal)) read.Fault($"/words/signs/{language}", $"This must name {hole}.");
        var questions = read.List(doc.Root["questions"], "/questions").Select((node, i) =>
        {
            var (row, at) = (read.Mapping(node, $"/questions/{i}"), $"/questions/{i}");
            SourceWords.Of(read, row, at);
            var options = read.List(row["options"], $"{at}/options").Select((o, j) =>
            {
                var (option, there) = (read.Mapping(o, $"{at}/options/{j}"), $"{at}/options/{j}");
                return new Option(read.Words(option["id"], $"{there}/id"), InEach(option, there), option["talk"] is JsonValue flag && flag.TryGetValue<bool>(out var talk) && talk);
            }).ToList();
            Once(options.Select(o => o.Id), $"{at}/options");
            return new Question(read.Words(row["id"], $"{at}/id"), InEach(row["says"] as JsonObject ?? [], $"{at}/says"), options);
        }).ToList();
        Once(questions.Select(q => q.Id), "/questions");
        return errors.Count == before ? new(doc.Version, days, words, questions) : null;

        Dictionary<string, string> InEach(JsonObject row, string at) => Texts.Languages.ToDictionary(l => l, l => read.Words(row[l], $"{at}/{l}"));

        void Once(IEnumerable<string> ids, string at)
        {
            foreach (var twice in ids.GroupBy(id => id).Where(g => g.Count() > 1)) read.Fault(at, $"{twice.Key} stands twice.");
        }
    }
}
