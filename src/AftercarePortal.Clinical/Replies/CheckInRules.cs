using System.Globalization;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Clinical.Replies;

/// <summary>How a bare check-in answer is read.</summary>
/// <param name="WithinHours">How long after the question it counts.</param>
/// <param name="AskedBy">Ids of the texts that ask.</param>
/// <param name="Pain">Greatest pain and tier, rising; the last reaches 10.</param>
/// <param name="RisenBy">This many points more than told last is <paramref name="RisenTier"/>, whatever the number.</param>
/// <param name="RisenTier">The tier of a pain that has risen so much.</param>
/// <param name="Letters">What each letter means, by language, and its tier.</param>
public sealed record CheckInRules(
    int WithinHours, IReadOnlySet<string> AskedBy, IReadOnlyList<(int UpTo, Tier Tier)> Pain, int RisenBy, Tier RisenTier, IReadOnlyDictionary<char, (IReadOnlyDictionary<string, string> Means, Tier Tier)> Letters)
{
    /// <summary>The answer a whole text is; null when it is anything else or more.</summary>
    internal CheckInAnswer? Read(IReadOnlyList<string> words) => words switch
    {
        [var one] when PainOf(one) is { } pain => new(pain, null),
        [var one, "10"] when PainOf(one) is { } pain => new(pain, null),                            // 3/10
        ["pain" or "dolor", var one] when PainOf(one) is { } pain => new(pain, null),
        [[var letter]] when Letters.ContainsKey(letter) => new(null, letter),
        _ => null,
    };

    /// <summary>The tier of an answer, and why in plain words.</summary>
    internal (Tier Tier, string Reason) TierOf(CheckInAnswer answer, int? before)
    {
        if (answer.Letter is { } letter) return (Letters[letter].Tier, $"check-in {char.ToUpperInvariant(letter)}: {Letters[letter].Means["en"]}");
        var pain = answer.Pain!.Value;
        var tier = Pain.First(p => pain <= p.UpTo).Tier;
        return before is { } last && pain - last >= RisenBy
            ? (tier > RisenTier ? tier : RisenTier, $"check-in pain {pain} of 10, {last} before")
            : (tier, $"check-in pain {pain} of 10");
    }

    private static int? PainOf(string word) => int.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out var pain) && pain is >= 0 and <= 10 ? pain : null;
}
