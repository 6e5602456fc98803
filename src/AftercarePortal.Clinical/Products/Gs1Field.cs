namespace AftercarePortal.Clinical.Products;

/// <summary>One application identifier that is known here.</summary>
/// <param name="Id">Two or three digits before the value.</param>
/// <param name="Digits">Length of the value; 0: up to the next separator.</param>
/// <param name="Most">Longest value of one that has no fixed length.</param>
internal sealed record Gs1Field(string Id, int Digits, int Most)
{
    // 11 (made on), 15 (best before) and 240 (catalogue number) stand on packs of devices and are passed over.
    public static readonly Gs1Field[] Known = [new("01", 14, 0), new("11", 6, 0), new("15", 6, 0), new("17", 6, 0), new("10", 0, 20), new("21", 0, 20), new("240", 0, 30)];

    /// <summary>The field whose identifier the text begins with, or null.</summary>
    public static Gs1Field? BeginningOf(string text) => Array.Find(Known, k => text.StartsWith(k.Id, StringComparison.Ordinal));

    /// <summary>Whether a value has the right length and letters.</summary>
    public bool MayHold(string value) => Digits > 0 ? value.Length == Digits && value.All(char.IsAsciiDigit) : value.Length >= 1 && value.Length <= Most && value.All(MayStand);

    /// <summary>Whether a value of no fixed length may hold this letter (GS1 General Specifications, character set 82, from memory).</summary>
    public static bool MayStand(char letter) => char.IsAsciiLetterOrDigit(letter) || "!\"%&'()*+,-./:;<=>?_".Contains(letter);
}
