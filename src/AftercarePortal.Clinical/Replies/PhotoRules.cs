namespace AftercarePortal.Clinical.Replies;

/// <summary>When a photo is asked for.</summary>
/// <param name="TextId">The text that asks.</param>
/// <param name="NotAgainWithinHours">How long it is not asked for again.</param>
/// <param name="Helps">Ids of the signs of which a photo tells more.</param>
public sealed record PhotoRules(string TextId, int NotAgainWithinHours, IReadOnlySet<string> Helps);
