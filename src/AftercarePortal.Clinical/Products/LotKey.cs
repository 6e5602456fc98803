using System.Text;

namespace AftercarePortal.Clinical.Products;

/// <summary>What two spellings of one lot have in common, so that a recall misses nobody over a space or a capital.</summary>
/// <remarks>
/// Letters and digits only, upper case, with letters that are read as digits made one with them (O as 0, I and L as 1).
/// It finds too many rather than too few: whoever reads the list sees each lot as it was written (judgement, no source).
/// </remarks>
public static class LotKey
{
    /// <summary>The key of a lot as typed or scanned; of something without letter or digit, its text. Never longer than the lot.</summary>
    public static string Of(string lot)
    {
        var key = new StringBuilder();
        foreach (var letter in lot.Where(char.IsLetterOrDigit))
            key.Append(char.ToUpperInvariant(letter) switch { 'O' => '0', 'I' or 'L' => '1', var other => other });
        return key.Length > 0 ? key.ToString() : lot.Trim();
    }

    /// <summary>What a key begins with that may be of this lot and of what followed it on the pack, from a scanner that drops separators: serial, catalogue number, a date.</summary>
    public static IReadOnlyList<string> RunOns(string key) => [key + "21", key + "240", key + "17", key + "11", key + "15"];

    /// <summary>Whether a kept key may be of the lot of another key and of what followed it on the pack.</summary>
    public static bool MayHaveRunOn(string kept, string key) =>
        RunOns(key).Any(begins => kept.Length > begins.Length && kept.StartsWith(begins, StringComparison.Ordinal) && (begins[key.Length] == '2' || IsDate(kept[begins.Length..])));

    // YYMMDD, day 00 for the last of the month.
    private static bool IsDate(string rest) => rest.Length >= 6 && rest[..6].All(char.IsAsciiDigit) && int.Parse(rest[2..4]) is >= 1 and <= 12 && int.Parse(rest[4..6]) <= 31;
}
