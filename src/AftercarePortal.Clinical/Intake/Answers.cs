namespace AftercarePortal.Clinical.Intake;

/// <summary>Answers of one intake, by the question's linkId (FHIR R4 Questionnaire.item.linkId).</summary>
/// <param name="ByLinkId">Absent means never asked or never reached.</param>
public sealed record Answers(IReadOnlyDictionary<string, Answer> ByLinkId)
{
    /// <summary>No answers at all.</summary>
    public static Answers None { get; } = new(new Dictionary<string, Answer>());

    // Asked for a thousand times an intake: one is enough.
    private static readonly Answer NotReached = new Answer.Skipped();

    /// <summary>The answer to one question; a question never reached counts as skipped.</summary>
    public Answer this[string linkId] => ByLinkId.TryGetValue(linkId, out var answer) ? answer : NotReached;

    /// <summary>Values given to one question; empty when skipped, not sure or absent.</summary>
    public IReadOnlyList<string> ValuesOf(string linkId) => this[linkId] is Answer.Given given ? given.Values : [];

    /// <summary>The first value given to one question, or null.</summary>
    public string? ValueOf(string linkId) => ValuesOf(linkId) is [var first, ..] ? first : null;
}
