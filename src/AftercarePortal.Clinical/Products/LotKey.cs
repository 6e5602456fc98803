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
}
