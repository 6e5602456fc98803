using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>What reading and paging need, in the versions in force.</summary>
internal sealed record SafetyContent(TriageLexicon Lexicon, EscalationPolicy Policy, Texts Texts)
{
    /// <summary>Reads it all from the content folder.</summary>
    /// <exception cref="InvalidOperationException">Faults, each with file, line and reason: start-up refuses.</exception>
    public static SafetyContent Load(string folder)
    {
        var errors = new List<ContentError>();
        var lexicon = ContentDocument.Load(Path.Combine(folder, "triage", "lower-face.v1.yaml"), errors) is { } words ? TriageReader.Read(words, errors) : null;
        var policy = ContentDocument.Load(Path.Combine(folder, "escalation", "policy.v1.yaml"), errors) is { } rules ? EscalationReader.Read(rules, errors) : null;
        var texts = Texts.Read(Path.Combine(folder, "texts", "en"), errors);
        return errors.Count == 0 && lexicon is not null && policy is not null
            ? new(lexicon, policy, texts)
            : throw new InvalidOperationException($"The content has faults:\n{string.Join('\n', errors)}");
    }
}
