using System.Globalization;
using System.Text;

namespace AftercarePortal.Clinical.Triage;

/// <summary>Cuts a raw text into folded words that know their place in it.</summary>
internal static class TextTokens
{
    private const string Marked = "áàâäãåéèêëíìîïóòôöõúùûüñçýÿаеорсухіу";
    private const string Plain = "aaaaaaeeeeiiiiooooouuuuncyyaeopcyxiy";

    internal static IReadOnlyList<TextToken> Of(string text)
    {
        var tokens = new List<TextToken>();
        var place = 0;
        var broke = true;
        var i = 0;
        while (i < text.Length)
        {
            var c = text[i];
            if (Ignored(c)) { i++; continue; }
            if (char.IsSurrogatePair(text, i) || IsSymbol(c))
            {
                var length = char.IsSurrogatePair(text, i) ? 2 : 1;
                tokens.Add(new(text.Substring(i, length), i, i + length, place++, broke, false));
                broke = false;
                i += length;
            }
            else if (char.IsLetterOrDigit(c))
            {
                var (form, end) = Word(text, i);
                tokens.Add(new(form, i, end, place++, broke, false));
                broke = false;
                i = end;
            }
            else
            {
                if (c == '?' && tokens.Count > 0) tokens[^1] = tokens[^1] with { Question = true };
                if (c is '.' or '!' or '?' or '\n' or ';' or '…') { place += broke ? 0 : 2; broke = true; }
                if (c is ',' or ':' or '(' or ')' or '-' or '–' or '—' or '¿' or '¡') broke = true;
                i++;
            }
        }
        return tokens;
    }

    internal static string Fold(string word) => Word(word, 0).Form;

    private static bool Ignored(char c) =>
        c is '\u200B' or '\u200C' or '\u200D' or '\uFEFF' or '\u00AD' or '\uFE0F' or '\uFE0E' || (c >= '\u202A' && c <= '\u202E');

    private static bool IsSymbol(char c) => c > '\u2190' && CharUnicodeInfo.GetUnicodeCategory(c) == UnicodeCategory.OtherSymbol;

    private static (string Form, int End) Word(string text, int start)
    {
        var form = new StringBuilder();
        var numeric = char.IsAsciiDigit(text[start]);
        var i = start;
        for (; i < text.Length; i++)
        {
            var c = text[i];
            var inside = i > start && i + 1 < text.Length;
            if (char.IsLetterOrDigit(c))
            {
                numeric &= char.IsAsciiDigit(c);
                form.Append(FoldOne(c));
            }
            else if (numeric && inside && c is '.' or ',' or '/' && inside && numeric && char.IsAsciiDigit(text[i + 1])) form.Append(c == ',' ? '.' : c);
            else if (inside && c is '\'' or '’' or '‘' or '`' && inside && char.IsLetterOrDigit(text[i + 1])) continue;
            else if (Ignored(c) || char.GetUnicodeCategory(c) == UnicodeCategory.NonSpacingMark) continue;
            else break;
        }
        return (form.ToString(), i);
    }

    private static char FoldOne(char c)
    {
        if (c is >= '\uFF21' and <= '\uFF5A') c = (char)(c - 0xFEE0);
        c = char.ToLowerInvariant(c);
        var at = c < 128 ? -1 : Marked.IndexOf(c, StringComparison.Ordinal);
        return at < 0 ? c : Plain[at];
    }
}
