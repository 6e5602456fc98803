using System.Globalization;
using System.Text;

namespace AftercarePortal.Clinical.Triage;

/// <summary>Folds letters: case, accents, look-alikes and styled alphabets become plain small letters.</summary>
internal static class Letters
{
    private const string LookAlikes = "аaеeоoрpсcуyхxіiјjѕsԁdһhкkмmтtвbнnαaεeοoρpτtυuνvιiκkßsøoæaœoıiłlđd";
    private static readonly char[] Plain = Table();

    /// <summary>The plain form of one UTF-16 unit; '\0' when it is neither letter nor digit.</summary>
    internal static char Fold(char c) => Plain[c];

    /// <summary>The plain form of a styled letter outside the basic plane; '\0' when it is none.</summary>
    internal static char Fold(Rune rune)
    {
        if (rune.Value is < 0x1D400 or > 0x1D7FF) return '\0';
        var folded = rune.ToString().Normalize(NormalizationForm.FormKD);
        return folded.Length == 1 ? Plain[folded[0]] : '\0';
    }

    /// <summary>Marks that change no reading: joiners, direction marks, soft hyphens, variation selectors, accents that stand alone.</summary>
    internal static bool IsSilent(char c) =>
        c is '\u00AD' or '\uFEFF' or '\u2060' or (>= '\u200B' and <= '\u200F') or (>= '\u202A' and <= '\u202E') or (>= '\uFE00' and <= '\uFE0F') or (>= '\u0300' and <= '\u036F');

    private static char[] Table()
    {
        var table = new char[0x10000];
        for (var i = 0; i < table.Length; i++)
        {
            var c = (char)i;
            if (char.IsSurrogate(c) || !char.IsLetterOrDigit(c)) continue;
            var parts = c < 128 ? c.ToString() : c.ToString().Normalize(NormalizationForm.FormKD);
            var first = char.ToLower(parts[0], CultureInfo.InvariantCulture);
            table[i] = char.IsLetterOrDigit(first) ? first : char.ToLower(c, CultureInfo.InvariantCulture);
        }
        for (var i = 0; i < LookAlikes.Length; i += 2)
        {
            table[LookAlikes[i]] = LookAlikes[i + 1];
            table[char.ToUpper(LookAlikes[i], CultureInfo.InvariantCulture)] = LookAlikes[i + 1];
        }
        table['º'] = table['ª'] = '\0';      // "39º" is a number with a degree sign
        return table;
    }
}
