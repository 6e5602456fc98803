namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Why a record was signed though no consent stood on its day.</summary>
internal enum NoConsent
{
    /// <summary>Signed on paper.</summary>
    OnPaper,
    /// <summary>Agreed to in words; nothing was signed.</summary>
    InWords,
    /// <summary>It could not wait.</summary>
    Urgent,
    /// <summary>Nobody thought of it.</summary>
    Forgotten,
    /// <summary>Something else, in the signer's words.</summary>
    SomethingElse,
}

/// <summary>Why no consent stood, as it is asked and told.</summary>
internal static class NoConsentWords
{
    /// <summary>The answers to choose from, in this order.</summary>
    public static IReadOnlyList<(NoConsent Why, string Says)> Choices { get; } =
    [
        (NoConsent.OnPaper, "The consent was signed on paper"),
        (NoConsent.InWords, "The patient agreed in words; nothing was signed"),
        (NoConsent.Urgent, "It could not wait"),
        (NoConsent.Forgotten, "It was forgotten"),
        (NoConsent.SomethingElse, "Something else, as written below"),
    ];

    /// <summary>A reason is chosen; something else is told in words.</summary>
    public static bool IsSaid(RecordForm form) =>
        Shared.ReadTyped.Choice<NoConsent>(form.NoConsent) is { } why && (why is not NoConsent.SomethingElse || !string.IsNullOrWhiteSpace(form.NoConsentWords));

    /// <summary>What a signed record says of it; null: a consent stood.</summary>
    public static string? Of(TreatmentRow record)
    {
        if (record.NoConsent is not { } why) return null;
        var says = Choices.Single(c => c.Why == why).Says;
        var words = record.NoConsentWords.Length == 0 ? "" : $": {record.NoConsentWords}";
        return $"Signed without a consent that stood. {record.ConsentGap} Reason given: {(why is NoConsent.SomethingElse ? record.NoConsentWords : says + words)}{(words.Length == 0 ? "." : "")}";
    }
}
