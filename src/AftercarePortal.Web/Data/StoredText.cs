namespace AftercarePortal.Web.Data;

/// <summary>Text as every database can hold it.</summary>
internal static class StoredText
{
    /// <summary>U+0000 replaced by U+FFFD: PostgreSQL refuses a text with it, and a report must never be lost to one character.</summary>
    public static string WithoutNul(this string text) => text.Replace('\0', '\uFFFD');
}
