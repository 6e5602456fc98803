using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Replies;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads what is answered to patients' texts.</summary>
internal static class ReplyBookReader
{
    /// <summary>Texts that the mechanism itself sends.</summary>
    internal static readonly string[] OwnTexts = ["language-set", "check-in-noted", "answer-desk", "wrong-number"];

    private static readonly Dictionary<string, Tier> Tiers = new() { ["routine"] = Tier.Routine, ["same-day"] = Tier.SameDay, ["urgent"] = Tier.Urgent };

    /// <summary>Null, with every fault added, when anything is missing, misspelt, out of range or unknown.</summary>
    /// <param name="lexicon">To check that a sign named here exists there.</param>
    internal static ReplyBook? Read(ContentDocument doc, TriageLexicon lexicon, IReadOnlyDictionary<string, Texts> languages, List<ContentError> errors)
    {
        var before = errors.Count;
        var read = new FieldReader((at, reason) => doc.Fault(errors, at, reason));
        var checkIn = ReadCheckIn(read, doc.Root["check_in"]);
        var loop = read.Mapping(doc.Root["loop"], "/loop", "within_minutes", "person_after", "silent_after");
        var limits = new LoopRules((int)read.Whole(loop["within_minutes"], "/loop/within_minutes", 1, 1440), (int)read.Whole(loop["person_after"], "/loop/person_after", 2, 100), (int)read.Whole(loop["silent_after"], "/loop/silent_after", 3, 500));
        if (limits.SilentAfter <= limits.PersonAfter) read.Fault("/loop/silent_after", "This must be more than person_after.");
        var photo = ReadPhoto(read, doc.Root["photo"], lexicon);
        var answers = read.List(doc.Root["answers"], "/answers").Select((node, i) => Answer(read, node, $"/answers/{i}")).ToList();
        foreach (var twice in answers.GroupBy(a => a.Id).Where(g => g.Count() > 1)) read.Fault("/answers", $"{twice.Key} is there more than once.");
        var book = new ReplyBook(
            doc.Version, ByLanguage("languages", Split), ByLanguage("switch", Listed), Listed(doc.Root["person"], "/person"), Listed(doc.Root["wrong_number"], "/wrong_number"), Listed(doc.Root["wrong_number_told"], "/wrong_number_told"),
            Listed(doc.Root["somebody_else"], "/somebody_else"),
            checkIn, limits, photo, ByLanguage("questions", Listed), answers);
        foreach (var (language, texts) in languages)
            foreach (var id in answers.Select(a => a.TextId).Append(photo.TextId).Concat(OwnTexts).Concat(checkIn.AskedBy).Where(id => id.Length > 0).Except(texts.Ids))
                errors.Add(new($"texts/{language}", 1, 1, $"/{id}", "This text is needed in this language and is not there."));
        return errors.Count == before ? book : null;

        Dictionary<string, WordSet> ByLanguage(string key, Func<JsonNode?, string, WordSet> words)
        {
            var row = read.Mapping(doc.Root[key], $"/{key}", Texts.Languages);
            return Texts.Languages.ToDictionary(l => l, l => words(row[l], $"/{key}/{l}"));
        }

        WordSet Split(JsonNode? node, string at) => new(Words(read, node, at));
        WordSet Listed(JsonNode? node, string at) => new(read.List(node, at).Select((word, i) => Folded(read, read.Words(word, $"{at}/{i}"), $"{at}/{i}")));
    }

    private static CheckInRules ReadCheckIn(FieldReader read, JsonNode? node)
    {
        var row = read.Mapping(node, "/check_in", "within_hours", "asked_by", "pain", "risen_by", "letters", "may_raise_hours", "beside", "spans", "scale", "numbers");
        var pain = read.List(row["pain"], "/check_in/pain").Select((step, i) =>
        {
            var at = $"/check_in/pain/{i}";
            var line = read.Mapping(step, at, "up_to", "tier");
            return ((int)read.Whole(line["up_to"], $"{at}/up_to", 0, 10), TierAt(read, line["tier"], $"{at}/tier"));
        }).ToList();
        if (pain.Count > 0 && (pain[^1].Item1 != 10 || pain.Zip(pain.Skip(1)).Any(p => p.First.Item1 >= p.Second.Item1 || p.First.Item2 > p.Second.Item2)))
            read.Fault("/check_in/pain", "The steps must rise, in pain and in tier, and the last must reach 10.");
        var risen = read.Mapping(row["risen_by"], "/check_in/risen_by", "points", "tier");
        var letters = new Dictionary<char, (IReadOnlyDictionary<string, string>, Tier)>();
        foreach (var (letter, i) in read.List(row["letters"], "/check_in/letters").Select((l, i) => (l, i)))
        {
            var at = $"/check_in/letters/{i}";
            var line = read.Mapping(letter, at, "letter", "means", "tier");
            var name = read.Words(line["letter"], $"{at}/letter");
            if (name is not [>= 'a' and <= 'z'] || !letters.TryAdd(name[0], (read.NamedWords(line["means"], $"{at}/means", Texts.Languages), TierAt(read, line["tier"], $"{at}/tier"))))
                read.Fault($"{at}/letter", "This must be one small letter that stands here once.");
        }

        var numbers = new Dictionary<string, int>();
        var named = read.Mapping(row["numbers"], "/check_in/numbers", Texts.Languages);
        foreach (var language in Texts.Languages)
        {
            var words = Words(read, named[language], $"/check_in/numbers/{language}").ToList();
            if (words.Count != 11) read.Fault($"/check_in/numbers/{language}", "Eleven words: from 0 to 10.");
            foreach (var (word, n) in words.Select((word, n) => (word, n))) numbers[word] = n;
        }

        return new(
            (int)read.Whole(row["within_hours"], "/check_in/within_hours", 1, 72), read.List(row["asked_by"], "/check_in/asked_by").Select((t, i) => read.Words(t, $"/check_in/asked_by/{i}")).ToHashSet(), pain,
            (int)read.Whole(risen["points"], "/check_in/risen_by/points", 1, 10), TierAt(read, risen["tier"], "/check_in/risen_by/tier"), letters,
            (int)read.Whole(row["may_raise_hours"], "/check_in/may_raise_hours", 0, 240), new(Words(read, row["beside"], "/check_in/beside")), new(Words(read, row["spans"], "/check_in/spans")), new(Words(read, row["scale"], "/check_in/scale")), numbers);
    }

    private static PhotoRules ReadPhoto(FieldReader read, JsonNode? node, TriageLexicon lexicon)
    {
        var row = read.Mapping(node, "/photo", "text", "not_again_within_hours", "helps");
        var helps = read.List(row["helps"], "/photo/helps").Select((sign, i) => (Id: read.Words(sign, $"/photo/helps/{i}"), At: $"/photo/helps/{i}")).ToList();
        foreach (var (id, at) in helps.Where(h => lexicon.Concepts.All(c => c.Id != h.Id))) read.Fault(at, $"The lexicon has no sign called {id}.");
        return new(read.Words(row["text"], "/photo/text"), (int)read.Whole(row["not_again_within_hours"], "/photo/not_again_within_hours", 1, 168), helps.Select(h => h.Id).ToHashSet());
    }

    private static ApprovedAnswer Answer(FieldReader read, JsonNode? node, string at)
    {
        var row = read.Mapping(node, at, "id", "text", "products", "words", "clinic_decides", "sources");
        var products = new List<ProductClass>();
        foreach (var (item, i) in row["products"] is null ? [] : read.List(row["products"], $"{at}/products").Select((n, i) => (n, i)))
            if (ProductClassNames.Parse(read.Words(item, $"{at}/products/{i}")) is { } product) products.Add(product);
            else read.Fault($"{at}/products/{i}", "This must be the written name of a product class, for example CaHA filler.");
        var words = read.Mapping(row["words"], $"{at}/words", Texts.Languages);
        return new(read.Words(row["id"], $"{at}/id"), read.Words(row["text"], $"{at}/text"), products, Texts.Languages.ToDictionary(l => l, l => new WordSet(Words(read, words[l], $"{at}/words/{l}"))));
    }

    private static IEnumerable<string> Words(FieldReader read, JsonNode? node, string at) =>
        read.Words(node, at).Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(word => Folded(read, word, at)).ToList();

    private static string Folded(FieldReader read, string form, string at)
    {
        if (form.Any(c => !char.IsAsciiLetterLower(c) && !char.IsAsciiDigit(c) && c is not (' ' or '_' or '*'))) read.Fault(at, $"\"{form}\" must be written in small letters without accents or apostrophes.");
        return form;
    }

    private static Tier TierAt(FieldReader read, JsonNode? node, string at)
    {
        if (Tiers.TryGetValue(read.Words(node, at), out var tier)) return tier;
        read.Fault(at, "This must be routine, same-day or urgent.");
        return Tier.Urgent;
    }
}
