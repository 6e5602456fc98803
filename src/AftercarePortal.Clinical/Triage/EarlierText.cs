using NodaTime;

namespace AftercarePortal.Clinical.Triage;

/// <summary>A text the same person sent before the one that is read.</summary>
/// <param name="Text">As it came.</param>
/// <param name="MediaCount">Pictures that came with it, 0 or more.</param>
/// <param name="Before">How long before the text that is read, 0 or more.</param>
public sealed record EarlierText(string Text, int MediaCount, Duration Before);
