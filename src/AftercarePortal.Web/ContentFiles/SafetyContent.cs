using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>What reading and paging need, in the versions in force.</summary>
internal sealed record SafetyContent(TriageLexicon Lexicon, EscalationPolicy Policy, Texts Texts)
{
    private static readonly string[] NeededTexts =
        ["reply-emergency", "reply-urgent", "reply-same-day", "reply-routine", "reply-crisis", "taken", "nobody-yet", "page-text", "page-voice"];

    /// <summary>Reads it all from the content folder.</summary>
    /// <exception cref="InvalidOperationException">Faults, each with file, line and reason: start-up refuses.</exception>
    public static SafetyContent Load(string folder)
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

    private static SafetyContent? Read(string folder, List<ContentError> errors)
    {
        var lexicon = ContentDocument.Load(Path.Combine(folder, "triage", "lower-face.v1.yaml"), errors) is { } words ? TriageReader.Read(words, errors) : null;
        var policy = ContentDocument.Load(Path.Combine(folder, "escalation", "policy.v1.yaml"), errors) is { } rules ? EscalationReader.Read(rules, errors) : null;
        var texts = Texts.Read(Path.Combine(folder, "texts", "en"), errors);
        errors.AddRange(NeededTexts.Except(texts.Ids).Select(id => new ContentError("texts/en", 1, 1, $"/{id}", "This text is needed and is not there.")));
        return errors.Count == 0 && lexicon is not null && policy is not null ? new(lexicon, policy, texts) : null;
    }
}
