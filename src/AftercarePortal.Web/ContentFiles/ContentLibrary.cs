using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>All knowledge of the portal, in the versions in force.</summary>
/// <param name="CandidacyIn">The same rules and questions with the patient's words in each language.</param>
/// <param name="Pages">Words of the intake pages by language.</param>
/// <param name="PriceLists">By version, for example <c>wrenfold-prices.v1</c>; each clinic adopts one.</param>
internal sealed record ContentLibrary(
    CandidacyRules Candidacy, TriageLexicon Lexicon, EscalationPolicy Policy, AftercareSequences Aftercare, PriceModel Pricing, IReadOnlyDictionary<string, PriceList> PriceLists, Texts Texts,
    IReadOnlyDictionary<string, CandidacyRules> CandidacyIn, IReadOnlyDictionary<string, PageWords> Pages)
{
    private static readonly string[] RepliesAndPages =
        ["reply-emergency", "reply-urgent", "reply-same-day", "reply-routine", "reply-crisis", "taken", "nobody-yet", "page-text", "page-voice", "intake-read", "help", "recall-notice"];

    /// <summary>The consent documents in force.</summary>
    public IReadOnlyList<ConsentDocument> Consents { get; private init; } = [];

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
        return errors;
    }

    private static ContentLibrary? Read(string folder, List<ContentError> errors)
    {
        ContentDocument? Open(string kind, string file)
        {
            var path = Path.Combine(folder, kind, file);
            if (File.Exists(path)) return ContentDocument.Load(path, errors);
            errors.Add(new($"{kind}/{file}", 1, 1, "/", "This file is needed and is not there."));
            return null;
        }

        var (questions, rules) = (Open("questionnaires", "lower-face.v1.json"), Open("candidacy", "lower-face.v1.yaml"));
        var questionnaire = questions is not null ? QuestionnaireReader.Read(questions, errors) : null;
        var candidacy = rules is not null && questionnaire is not null ? CandidacyReader.Read(rules, questionnaire, errors) : null;
        var translated = candidacy is null ? null : CandidacyReader.ReadTranslations(questions!, rules!, candidacy, errors)
            .ToDictionary(t => t.Key, t => ScreeningReader.Add(folder, t.Value, t.Key, errors));
        candidacy = translated?[PageWords.Languages[0]];
        var pages = Open("pages", "intake.v1.yaml") is { } words ? PageWords.Read(words, errors) : null;
        var lexicon = TriageReader.Load(folder, errors);
        var policy = Open("escalation", "policy.v1.yaml") is { } times ? EscalationReader.Read(times, errors) : null;
        var pricing = Open("pricing", "lower-face-model.v1.yaml") is { } numbers && questionnaire is not null ? PricingReader.Read(numbers, questionnaire, errors) : null;
        // A clinic adopts one of them by its version.
        var prices = (Directory.Exists(Path.Combine(folder, "pricing")) ? Directory.GetFiles(Path.Combine(folder, "pricing"), "*-prices.v*.yaml").Order(StringComparer.Ordinal) : Enumerable.Empty<string>())
            .Select(path => ContentDocument.Load(path, errors) is { } amounts ? PriceListReader.Read(amounts, errors) : null).OfType<PriceList>().ToList();
        AftercareSequence[] sequences =
        [
            .. new[] { "caha-filler", "ha-filler", "plla", "prp", "botulinum-toxin" }
                .Select(name => Open("aftercare", $"{name}.v1.yaml") is { } steps ? AftercareReader.Read(steps, errors) : null).OfType<AftercareSequence>(),
        ];
        var merging = Open("merging", "merging.v1.yaml") is { } rulesOfMerging ? MergeRulesReader.Read(rulesOfMerging, errors) : null;
        var spoken = Texts.Languages.ToDictionary(l => l, l => Texts.Read(Path.Combine(folder, "texts", l), errors));
        var texts = spoken[Texts.DefaultLanguage];
        errors.AddRange(RepliesAndPages.Except(texts.Ids).Select(id => new ContentError("texts/en", 1, 1, $"/{id}", "This text is needed and is not there.")));
        if (merging is not null && sequences.Length == 5) AftercareCheck.Run(new(sequences, merging), spoken, errors);
        texts = texts.With("es", spoken["es"]);
        var consents = ConsentDocument.ReadAll(Path.Combine(folder, "consent"), errors);
        return errors.Count == 0 ? new(candidacy!, lexicon!, policy!, new(sequences, merging!), pricing!, prices.ToDictionary(p => p.Version.ToString()), texts, translated!, pages!) { Consents = consents } : null;
    }
}
