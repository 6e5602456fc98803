using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Replies;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>All knowledge of the portal, in the versions in force.</summary>
/// <param name="Shelf">The candidacy rules with their questions, in every version.</param>
/// <param name="Pages">Words of the intake pages by language.</param>
/// <param name="PriceLists">By version, for example <c>wrenfold-prices.v1</c>; each clinic adopts one.</param>
internal sealed record ContentLibrary(
    CandidacyShelf Shelf, TriageLexicon Lexicon, EscalationPolicy Policy, AftercareSequences Aftercare, PriceModel Pricing, IReadOnlyDictionary<string, PriceList> PriceLists, Texts Texts,
    ReplyBook Replies, IReadOnlyDictionary<string, PageWords> Pages)
{
    private static readonly string[] RepliesAndPages =
        ["reply-emergency", "reply-emergency-told", "reply-urgent", "reply-same-day", "reply-routine", "reply-crisis", "reply-emergency-nobody", "reply-urgent-nobody", "reply-same-day-nobody", "reply-crisis-nobody", "taken", "nobody-yet", "reopened",
            "page-text", "page-voice", "page-intake", "page-intake-voice", "page-ring", "page-test", "page-test-voice", "page-test-missed", "page-trouble", "page-number-new", "page-staff-changed", "intake-read", "clinic-asks", "new-link", "visit-word", "help", "recall-notice"];

    /// <summary>The rules in force, in the clinic's own language.</summary>
    public CandidacyRules Candidacy => Shelf.InForce.Rules;

    /// <summary>The consent documents in force, in each language they stand in.</summary>
    public IReadOnlyList<ConsentDocument> Consents { get; private init; } = [];

    /// <summary>Words around what is handed to a patient on the clinic's screen, by language.</summary>
    public IReadOnlyDictionary<string, PageWords> HandedOver { get; private init; } = null!;

    /// <summary>A consent in force, in a person's language where that version is translated; null: no such document.</summary>
    public ConsentDocument? ConsentIn(string language, string id)
    {
        var own = Consents.FirstOrDefault(c => c.Id == id && c.Language == Texts.DefaultLanguage);
        return Consents.FirstOrDefault(c => c.Id == id && c.Language == language && c.Version == own?.Version) ?? own;
    }

    /// <summary>Words in a language the pages are written in; of any other in the clinic's own.</summary>
    public PageWords WordsHandedOver(string language) => HandedOver.GetValueOrDefault(language) ?? HandedOver[Texts.DefaultLanguage];

    /// <summary>What to have at hand, to think of and not to go beyond.</summary>
    public SafetyRules Safety { get; private init; } = null!;

    /// <summary>Published figures beside a measure.</summary>
    public IReadOnlyList<JawNorm> Norms { get; private init; } = [];

    /// <summary>What the marks beside a statement mean.</summary>
    public SourceMarks Marks { get; private init; } = null!;

    /// <summary>What stands on the sheet a patient takes home.</summary>
    public SheetContent Sheet { get; private init; } = null!;

    /// <summary>What a patient is asked about the result at a review.</summary>
    public OutcomeQuestions OutcomeQuestions { get; private init; } = null!;

    /// <summary>Where the program keeps its content.</summary>
    public static string Folder => Path.Combine(AppContext.BaseDirectory, "content");

    /// <summary>Reads it all from a content folder.</summary>
    /// <exception cref="InvalidOperationException">Faults, each with file, line and reason: start-up refuses.</exception>
    public static ContentLibrary Load(string folder)
    {
        var errors = new List<ContentError>();
        return Read(folder, errors) ?? throw new InvalidOperationException($"The content has faults:\n{string.Join('\n', errors)}");
    }

    /// <summary>Every fault at once; empty when the content can be used.</summary>
    public static IReadOnlyList<ContentError> Faults(string folder)
    {
        var errors = new List<ContentError>();
        Read(folder, errors);
        return [.. errors.Distinct()];
    }

    /// <summary>Null, with every fault added, when the content cannot be used.</summary>
    internal static ContentLibrary? Read(string folder, List<ContentError> errors)
    {
        ContentDocument? Open(string kind, string name) => ContentVersions.Newest(Path.Combine(folder, kind), name, "yaml", errors);

        var marks = CitedSources.Check(folder, errors);
        var shelf = CandidacyShelf.Read(folder, errors);
        var pages = Open("pages", "intake") is { } words ? PageWords.Read(words, errors) : null;
        var handed = Open("pages", "handed-over") is { } around ? PageWords.Read(around, errors) : null;
        var lexicon = TriageReader.Load(folder, errors);
        var policy = Open("escalation", "policy") is { } times ? EscalationReader.Read(times, errors) : null;
        var pricing = Open("pricing", "lower-face-model") is { } numbers && shelf is not null ? PricingReader.Read(numbers, shelf.InForce.Rules.Questionnaire, errors) : null;
        // A clinic adopts one of them by its version.
        var lists = Path.Combine(folder, "pricing");
        var prices = ContentVersions.NamesIn(lists, "yaml").Where(name => name.EndsWith("-prices", StringComparison.Ordinal))
            .SelectMany(name => ContentVersions.Read(lists, name, "yaml", errors)).Select(amounts => PriceListReader.Read(amounts, errors, pricing)).OfType<PriceList>().ToList();
        AftercareSequence[] sequences =
        [
            .. new[] { "caha-filler", "ha-filler", "plla", "prp", "botulinum-toxin" }
                .Select(name => Open("aftercare", name) is { } steps ? AftercareReader.Read(steps, errors) : null).OfType<AftercareSequence>(),
        ];
        var merging = Open("merging", "merging") is { } rulesOfMerging ? MergeRulesReader.Read(rulesOfMerging, errors) : null;
        var spoken = Texts.Languages.ToDictionary(l => l, l => Texts.Read(Path.Combine(folder, "texts", l), errors));
        var texts = spoken[Texts.DefaultLanguage];
        errors.AddRange(RepliesAndPages.Except(texts.Ids).Select(id => new ContentError("texts/en", 1, 1, $"/{id}", "This text is needed and is not there.")));
        if (merging is not null && sequences.Length == 5) AftercareCheck.Run(new(sequences, merging), spoken, errors);
        var replies = Open("replies", "lower-face") is { } said && lexicon is not null ? ReplyBookReader.Read(said, lexicon, spoken, errors) : null;
        texts = texts.With("es", spoken["es"]);
        var safety = Open("safety", "lower-face") is { } kit ? SafetyReader.Read(kit, errors) : null;
        var sheet = Open("sheet", "aftercare") is { } home && Open("emergency-numbers", "countries") is { } dial ? SheetReader.Read(home, dial, errors) : null;
        var norms = Open("norms", "jaw") is { } figures ? SafetyReader.Norms(figures, errors) : [];
        var asked = Open("outcome-questions", "lower-face") is { } scales ? OutcomeQuestions.Read(scales, errors) : null;
        var consents = ConsentDocument.ReadAll(Path.Combine(folder, "consent"), errors);
        return errors.Count == 0 ? new(shelf!, lexicon!, policy!, new(sequences, merging!), pricing!, prices.ToDictionary(p => p.Version.ToString()), texts, replies!, pages!) { Consents = consents, Safety = safety!, Sheet = sheet!, Norms = norms, OutcomeQuestions = asked!, HandedOver = handed!, Marks = marks! } : null;
    }
}
