using System.Globalization;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Clinical.Replies;

/// <summary>How a check-in answer is read: a number or a letter, alone or beside words that say nothing themselves.</summary>
/// <param name="WithinHours">How long after the question it counts; for <paramref name="MayRaiseHours"/> more it may only raise.</param>
/// <param name="AskedBy">Ids of the texts that ask.</param>
/// <param name="Pain">Greatest pain and tier, rising; the last reaches 10.</param>
/// <param name="RisenBy">This many points more than told last is <paramref name="RisenTier"/>, whatever the number.</param>
/// <param name="RisenTier">The tier of a pain that has risen so much.</param>
/// <param name="Letters">What each letter means, by language, and its tier.</param>
/// <param name="MayRaiseHours">0 or more.</param>
/// <param name="Beside">Words that may stand beside a number or letter and change nothing of it, such as thanks.</param>
/// <param name="Spans">Words between the numbers of a span.</param>
/// <param name="Scale">Words right before the ten a pain is out of.</param>
/// <param name="Numbers">Words of numbers, 0..10.</param>
public sealed record CheckInRules(
    int WithinHours, IReadOnlySet<string> AskedBy, IReadOnlyList<(int UpTo, Tier Tier)> Pain, int RisenBy, Tier RisenTier, IReadOnlyDictionary<char, (IReadOnlyDictionary<string, string> Means, Tier Tier)> Letters, int MayRaiseHours, WordSet Beside, WordSet Spans, WordSet Scale, IReadOnlyDictionary<string, int> Numbers)
{
    /// <summary>The answer a whole text is; null when it is anything else or more.</summary>
    /// <param name="text">As written: "3/10" is a number out of ten, "3-10" are two of which the greater counts.</param>
    /// <param name="words">Its words as they are compared.</param>
    internal CheckInAnswer? Read(string text, IReadOnlyList<string> words)
    {
        var rest = words.Where(w => !Beside.Holds(w)).ToList();
        var pains = rest.Select(PainOf).OfType<int>().ToList();
        if (pains.Count == 0) return rest is [[var letter]] && Letters.ContainsKey(letter) ? new(null, letter) : null;
        if (rest.Exists(w => PainOf(w) is null && w is not "a")) return null;                      // "it is a 7"
        if (pains.Count > 1 && pains[^1] == 10 && IsScale(text, words)) pains.RemoveAt(pains.Count - 1);
        if (pains.Count > 1 && !IsSpan(text, words)) return null;
        return new(pains.Max(), null);
    }

    private bool IsSpan(string text, IReadOnlyList<string> words) => text.AsSpan().IndexOfAny('-', '–', '—') >= 0 || words.Any(Spans.Holds);

    // What stands right before the last ten says whether it is the scale: "3/10", "3 out of 10", "3 de diez".
    private bool IsScale(string text, IReadOnlyList<string> words)
    {
        var ten = Enumerable.Range(0, words.Count).LastOrDefault(i => PainOf(words[i]) == 10);
        var slash = text.LastIndexOf('/');
        return (ten > 0 && Scale.Holds(words[ten - 1])) || (slash >= 0 && text.AsSpan(slash + 1).TrimStart().StartsWith("10"));
    }

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

    private int? PainOf(string word) => Numbers.TryGetValue(word, out var named) ? named : int.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out var pain) && pain is >= 0 and <= 10 ? pain : null;
}
