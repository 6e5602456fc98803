namespace AftercarePortal.Web.ContentFiles;

/// <summary>Counts what a text costs on the wire: the basic alphabet of text messages, or UTF-16 as soon as one letter is outside it.</summary>
/// <remarks>3GPP TS 23.038 as stored in the Unicode mapping GSM0338; checked against two published sets of vectors.</remarks>
internal static class SmsLength
{
    private const string Basic = "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà";
    private const string Escaped = "\f^{}\\[~]|€";

    /// <summary>True when every letter is in the basic alphabet or its extension.</summary>
    public static bool IsBasic(string text) => text.All(c => Basic.Contains(c) || Escaped.Contains(c));

    /// <summary>Septets of a basic text (an escaped letter is two), or UTF-16 units of any other.</summary>
    public static int Units(string text) => IsBasic(text) ? text.Length + text.Count(Escaped.Contains) : text.Length;

    /// <summary>Whether it fits one part: 160 septets, or 70 UTF-16 units.</summary>
    public static bool IsOnePart(string text) => Units(text) <= (IsBasic(text) ? 160 : 70);
}
