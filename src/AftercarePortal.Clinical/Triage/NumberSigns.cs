namespace AftercarePortal.Clinical.Triage;

/// <summary>Temperatures and pain scales. Thresholds: common practice, no source; clinical sign-off is open.</summary>
internal static class NumberSigns
{
    private static readonly string[] Before = ["a", "un", "was", "era", "about", "from", "de", "at"];

    /// <summary>Adds to each number what it says: fever from 38.0 °C or 100.4 °F, temp when it can be nothing else, long ago for a year after "in", hot from 39.5 °C or 103 °F, forty from 40 °C or 104 °F, year for a whole one from 1900 to 2099 without a price sign, two when it is just that, many from 8 to 200 without a unit, painful from 7 of 10, rise where a small number is told to have become a higher one, mid from 4 of 10.</summary>
    internal static void Mark(Span<TextToken> tokens, string text, ReaderAtoms atoms)
    {
        var (one, ten) = OneToTen(tokens, text);
        for (var i = 0; i < tokens.Length; i++)
        {
            if (!tokens[i].IsNumber) continue;
            var value = tokens[i].Number;
            if (value is >= 1950 and <= 2099 && IsYear(tokens, i, text)) tokens[i].Atoms.Add(atoms.LongAgo);
            if (value is >= 1900 and <= 2099 && tokens[i].Of == 0 && tokens[i].End - tokens[i].Start == 4 && !IsPrice(tokens[i], text)) tokens[i].Atoms.Add(atoms.Year);
            var listed = IsListed(tokens, i) || IsPrice(tokens[i], text);
            if (!listed && value is (>= 38 and <= 43) or (>= 100.4 and <= 109)) tokens[i].Atoms.Add(atoms.Fever);
            if (!listed && value is (>= 39.5 and <= 43) or (>= 103 and <= 109)) tokens[i].Atoms.Add(atoms.Hot);
            if (!listed && value is (>= 40 and <= 43) or (>= 104 and <= 109)) tokens[i].Atoms.Add(atoms.Forty);
            if (value is >= 8 and <= 200 && tokens[i].Of == 0 && char.IsAsciiDigit(text[tokens[i].End - 1])) tokens[i].Atoms.Add(atoms.Many);
            if (value is 2 && tokens[i].Of == 0) tokens[i].Atoms.Add(atoms.Two);
            if (value is >= 38 and < 43 && HasOneDecimal(tokens[i], text)) tokens[i].Atoms.Add(atoms.Temp);
            var of = Scale(tokens, i, text);
            if (of == 5 && !text.Contains("out of", StringComparison.OrdinalIgnoreCase) && !(i > 0 && tokens[i - 1].Atoms.Has(atoms.Code))) of = 0;
            if (of == 0 && (Beside(tokens, i, atoms) || (ten > 0 && i != one && i != ten))) of = 10;
            if (of == 0 || value > of) continue;
            var tenths = value * 10 / of;
            if (tenths >= 7) tokens[i].Atoms.Add(atoms.Painful);
            else if (tenths >= 4) tokens[i].Atoms.Add(atoms.Mid);
        }
        if (Rise(tokens, text, atoms) is >= 0 and var at) tokens[at].Atoms.Add(atoms.Risen);
    }

    // "30, 40, 50": one of three numbers side by side is no temperature.
    private static bool IsListed(ReadOnlySpan<TextToken> tokens, int i)
    {
        var (from, to) = (i, i);
        while (from > 0 && tokens[from - 1].IsNumber) from--;
        while (to + 1 < tokens.Length && tokens[to + 1].IsNumber) to++;
        return to - from >= 2;
    }

    private static bool IsPrice(in TextToken token, string text) => text.AsSpan(0, token.Start).TrimEnd() is [.., '$' or '£' or '€'];

    // "in 2009", "en 2009", "back in 2009": a year told as one.
    private static bool IsYear(ReadOnlySpan<TextToken> tokens, int i, string text)
    {
        if (i == 0 || tokens[i].Of != 0) return false;
        var before = text.AsSpan(tokens[i - 1].Start, tokens[i - 1].End - tokens[i - 1].Start);
        return before.Equals("in", StringComparison.OrdinalIgnoreCase) || before.Equals("en", StringComparison.OrdinalIgnoreCase) || before.Equals("del", StringComparison.OrdinalIgnoreCase);
    }

    // "38,5" and no price: a body temperature even without the word.
    private static bool HasOneDecimal(in TextToken token, string text)
    {
        var digits = text.AsSpan(token.Start, token.End - token.Start).TrimEnd("cCºª°");
        if (digits is not [.., '.' or ',' or '\'', _]) return false;
        var before = text.AsSpan(0, token.Start).TrimEnd();
        return before is not [.., '$' or '£' or '€' or '#'] && (token.End >= text.Length || text[token.End] is not ('%' or '€' or '$' or '-' or '/'));
    }

    // "pain 8", "dolor 8", "pain is 8", "8 pain": a scale that is not named; ten is meant when it is above five.
    private static bool Beside(ReadOnlySpan<TextToken> tokens, int i, ReaderAtoms atoms) =>
        tokens[i].Number is > 5 and <= 10 && tokens[i].Of == 0
        && ((i > 0 && tokens[i - 1].Atoms.Has(atoms.Pain)) || (i > 1 && tokens[i - 2].Atoms.Has(atoms.Pain)) || (i + 1 < tokens.Length && tokens[i + 1].Atoms.Has(atoms.Pain)));

    // "from 1 to 10 a 9", "del 1 al 10, un 9": where the two ends of a scale stand; the other small numbers are on it. (0, 0) without one.
    private static (int One, int Ten) OneToTen(ReadOnlySpan<TextToken> tokens, string text)
    {
        for (var i = 0; i + 1 < tokens.Length; i++)
        {
            if (!tokens[i].IsNumber || tokens[i].Number is not (0 or 1)) continue;
            for (var k = i + 1; k <= i + 2 && k < tokens.Length; k++)
                if (tokens[k].IsNumber && tokens[k].Number is 10 && text.AsSpan(tokens[i].End, tokens[k].Start - tokens[i].End).Trim() is "to" or "-" or "al" or "a") return (i, k);
        }
        return (0, 0);
    }

    // "it was a 2 when I left, it's a 6 now": two small numbers, the later one higher by two or more, in a short text.
    private static int Rise(ReadOnlySpan<TextToken> tokens, string text, ReaderAtoms atoms)
    {
        var (first, second, now) = (-1, -1, false);
        for (var i = 0; i < tokens.Length; i++)
        {
            now |= tokens[i].Atoms.Has(atoms.Now);
            if (!tokens[i].IsNumber) continue;
            if (second >= 0) return -1;
            (first, second) = first < 0 ? (i, -1) : (first, i);
        }
        if (!now || second < 0 || tokens.Length > 20 || !After(tokens, first, text)) return -1;
        return tokens[first].Number + 2 <= tokens[second].Number && tokens[second].Number is > 4 and <= 10 ? second : -1;
    }

    private static bool After(ReadOnlySpan<TextToken> tokens, int at, string text)
    {
        if (at == 0) return false;
        var before = text.AsSpan(tokens[at - 1].Start, tokens[at - 1].End - tokens[at - 1].Start);
        foreach (var word in Before)
            if (before.Equals(word, StringComparison.OrdinalIgnoreCase)) return true;
        return false;
    }

    // 10 for "8/10", "8 out of 10", "8 sobre 10"; 5 for "4 out of 5"; 0 when it is no scale.
    private static int Scale(ReadOnlySpan<TextToken> tokens, int i, string text)
    {
        if (tokens[i].Of is 10 or 5) return (int)tokens[i].Of;
        for (var k = i + 2; k <= i + 3 && k < tokens.Length; k++)
        {
            if (!tokens[k].IsNumber || tokens[k].Number is not (10 or 5)) continue;
            var between = text.AsSpan(tokens[i].End, tokens[k].Start - tokens[i].End).Trim();
            if (between.Equals("out of", StringComparison.OrdinalIgnoreCase) || between.Equals("of", StringComparison.OrdinalIgnoreCase)
                || between.Equals("sobre", StringComparison.OrdinalIgnoreCase) || between.Equals("de", StringComparison.OrdinalIgnoreCase)
                || between.Equals("outta", StringComparison.OrdinalIgnoreCase)) return (int)tokens[k].Number;
        }
        return 0;
    }
}
