using System.Globalization;
using System.Text;

namespace AftercarePortal.Clinical.Triage;

/// <summary>Cuts a raw text into looked-up words that know their place in it. Linear in the length of the text.</summary>
internal sealed class TextCutter(WordList words, IReadOnlyDictionary<string, string[]> shorthand, int link, AtomSet notNouns)
{
    private readonly Dictionary<string, string[]>.AlternateLookup<ReadOnlySpan<char>> shortForms =
        new Dictionary<string, string[]>(shorthand).GetAlternateLookup<ReadOnlySpan<char>>();

    /// <summary>What a word of the list stands for by itself.</summary>
    internal AtomSet AtomsOf(int word) => word < 0 ? default : words.AtomsOf(word);

    /// <summary>Greatest number of tokens kept; the rest is not read.</summary>
    internal const int MostTokens = 1024;

    /// <summary>Cuts one stretch of the text into <paramref name="tokens"/>, beginning at <paramref name="count"/>; returns the new count.</summary>
    internal int Cut(ReadOnlySpan<char> text, int from, int to, TextToken[] tokens, int count)
    {
        Span<char> form = stackalloc char[64];
        var (pause, sentence) = (true, true);
        var i = from;
        while (i < to && count < MostTokens - 4)
        {
            var c = text[i];
            if (Letters.IsSilent(c)) { i++; continue; }
            var start = i;
            var first = count;
            if (char.IsAsciiDigit(c)) i = Number(text, i, to, tokens, ref count, form);
            else if (Plain(text, i, to, out _) != '\0')
            {
                i = Word(text, i, to, form, out var n);
                if ((start > 0 && text[start - 1] == '@') || (i < to && text[i] == '@'))        // part of an address says nothing
                {
                    tokens[count] = New(start, i);
                    tokens[count++].Known = true;
                }
                else Add(form[..n], start, i, tokens, ref count, i - start > 2 && IsApostrophe(text[i - 2]));
            }
            else if (Picture(text, i, to) is > 0 and var length)
            {
                i += length;
                tokens[count] = New(start, i);
                tokens[count].Picture = true;
                words.Find(text.Slice(start, length), ref tokens[count]);
                tokens[count++].Known = true;
            }
            else
            {
                i++;
                if (c == '?' && count > 0) tokens[count - 1].Question = true;
                if (c is '.' or '!' or '?' or '\n' or ';' or '…') (pause, sentence) = (true, true);
                else if (c is ',' or ':' or '(' or ')' or '–' or '—' or '¿' or '¡' || (c == '-' && (i >= to || text[i] is ' ' or '-'))) pause = true;
                continue;
            }
            Place(tokens, first, count, pause, sentence);
            (pause, sentence) = (false, false);
        }
        return count;
    }

    // Little words between two others part them by half a step, so that "the most horrific head I have ever had" is as near as "worst head ever".
    private void Place(TextToken[] tokens, int first, int count, bool pause, bool sentence)
    {
        for (var k = first; k < count; k++)
        {
            var before = k == 0 ? -2 : tokens[k - 1].Place;
            tokens[k].Place = before + (k == first && sentence && k > 0 ? 4 : 0) + (tokens[k].Atoms.Has(link) ? 1 : 2);
            tokens[k].Break = k == first && pause;
            tokens[k].Sentence = k == first && sentence;
        }
    }

    private void Add(ReadOnlySpan<char> form, int start, int end, TextToken[] tokens, ref int count, bool owned = false)
    {
        if (shortForms.TryGetValue(form, out var meant))
        {
            foreach (var word in meant) One(word, start, end, tokens, ref count);
            return;
        }
        if (form.Length > 3 && form[^1] == 's' && (words.IsMeaningful(form) ? owned && IsNoun(form) : owned || words.IsMeaningful(form[..^1]))) form = form[..^1];        // "vision's", "throats", "head's"
        if (form.Length > 5 && form.EndsWith("es", StringComparison.Ordinal) && !words.IsListed(form) && words.IsMeaningful(form[..^2])) form = form[..^2];        // "móviles"
        var token = New(start, end);
        if (!words.Find(form, ref token) && Glued(form) is > 0 and var cut)
        {
            One(form[..cut], start, end, tokens, ref count);
            One(form[cut..], start, end, tokens, ref count);
            return;
        }
        if (token.Word < 0) words.FindSlip(form, ref token);
        tokens[count++] = token;
    }

    // "head's too heavy": a word of the lexicon whose plural only stands in phrases ("two heads"); never "it's" or "mum's", which are words of their own there.
    private bool IsNoun(ReadOnlySpan<char> form) => words.Says(form[..^1]) is { IsEmpty: false } one && !one.Meets(notNouns) && words.Says(form).IsEmpty;

    private void One(ReadOnlySpan<char> form, int start, int end, TextToken[] tokens, ref int count)
    {
        var token = New(start, end);
        words.Find(form, ref token);
        tokens[count++] = token;
    }

    // "cantbreathe": both halves words of the lexicon, three letters or more.
    private int Glued(ReadOnlySpan<char> form)
    {
        if (form.Length is < 8 or > 24) return 0;
        for (var cut = 3; cut <= form.Length - 3; cut++)
            if (words.IsMeaningful(form[..cut]) && words.IsMeaningful(form[cut..])) return cut;
        return 0;
    }

    private static TextToken New(int start, int end) =>
        new() { Start = start, End = end, Word = -1, Meant = -1, OrMeant = -1, Number = double.NaN };

    // Digits with one decimal mark, "8/10", and a unit that touches ("38c", "101F", "2h"); other mixtures are words ("2day").
    private int Number(ReadOnlySpan<char> text, int from, int to, TextToken[] tokens, ref int count, Span<char> form)
    {
        var i = from;
        while (i < to && char.IsAsciiDigit(text[i])) i++;
        if (i + 1 < to && text[i] is '.' or ',' or '\'' && char.IsAsciiDigit(text[i + 1]))
        {
            i++;
            while (i < to && char.IsAsciiDigit(text[i])) i++;
        }
        if (i + 1 < to && text[i] == ':' && char.IsAsciiDigit(text[i + 1]))        // a time of day says nothing as a number, also with seconds
        {
            while (i + 1 < to && text[i] == ':' && char.IsAsciiDigit(text[i + 1]))
                for (i++; i < to && char.IsAsciiDigit(text[i]);) i++;
            tokens[count] = New(from, i);
            tokens[count++].Known = true;
            return i;
        }
        var token = New(from, i);
        Span<char> digits = stackalloc char[Math.Min(i - from, 24)];
        text.Slice(from, digits.Length).CopyTo(digits);
        digits.Replace(',', '.');
        digits.Replace('\'', '.');
        token.Number = double.TryParse(digits, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var value) ? value : 0;
        token.Known = true;
        if (i + 1 < to && text[i] == '/' && char.IsAsciiDigit(text[i + 1]))
        {
            var under = i + 1;
            for (i = under; i < to && char.IsAsciiDigit(text[i]); i++) token.Of = Math.Min(1000, (token.Of * 10) + (text[i] - '0'));
            token.End = i;
        }
        else if (i < to && char.IsLetter(text[i]) && Plain(text, i, to, out _) != '\0')
        {
            var end = Word(text, i, to, form, out var n);
            if (!IsUnit(form[..n]))
            {
                end = Word(text, from, to, form, out n);
                Add(form[..n], from, end, tokens, ref count);
                return end;
            }
        }
        tokens[count++] = token;
        return i;
    }

    private static bool IsUnit(ReadOnlySpan<char> unit) =>
        unit is "c" or "f" or "h" or "hr" or "hrs" or "am" or "pm" or "mg" or "ml" or "mm" or "cm" or "th" or "st" or "nd" or "rd" or "d" or "days" or "day" or "min" or "mins" or "k" or "x" or "ish";

    /// <summary>The folded words of a text, in order, and nothing else.</summary>
    internal static IReadOnlyList<string> WordsOf(string text)
    {
        Span<char> form = stackalloc char[64];
        var found = new List<string>();
        for (var i = 0; i < text.Length;)
        {
            if (Plain(text, i, text.Length, out _) == '\0') { i++; continue; }
            i = Word(text, i, text.Length, form, out var n);
            found.Add(new(form[..n]));
        }
        return found;
    }

    // Letters and digits, with apostrophes between them left out.
    internal static int Word(ReadOnlySpan<char> text, int from, int to, Span<char> form, out int n)
    {
        n = 0;
        var i = from;
        while (i < to)
        {
            var plain = Plain(text, i, to, out var length);
            if (plain != '\0')
            {
                if (n < form.Length) form[n++] = plain;
                i += length;
            }
            else if (Letters.IsSilent(text[i])) i++;
            else if (IsApostrophe(text[i]) && i + 1 < to && Plain(text, i + 1, to, out _) != '\0') i++;
            else break;
        }
        return i;
    }

    private static bool IsApostrophe(char c) => c is '\'' or '’' or '‘' or '`' or '´';

    private static char Plain(ReadOnlySpan<char> text, int at, int to, out int length)
    {
        length = 1;
        if (!char.IsHighSurrogate(text[at])) return Letters.Fold(text[at]);
        if (at + 1 >= to || !char.IsLowSurrogate(text[at + 1])) return '\0';
        length = 2;
        return Letters.Fold(new Rune(text[at], text[at + 1]));
    }

    private static int Picture(ReadOnlySpan<char> text, int at, int to)
    {
        if (at + 1 < to && char.IsHighSurrogate(text[at]) && char.IsLowSurrogate(text[at + 1])) return 2;
        if (text[at] > '\u2190' && char.GetUnicodeCategory(text[at]) == UnicodeCategory.OtherSymbol) return 1;
        if (at + 1 < to && text[at] is ':' or ';' or '=')
        {
            var mouth = text[at + 1] is '-' or '\'' && at + 2 < to ? at + 2 : at + 1;
            if (text[mouth] is '(' or ')' or '/' or 'D' or '|') return mouth + 1 - at;
        }
        return 0;
    }
}
