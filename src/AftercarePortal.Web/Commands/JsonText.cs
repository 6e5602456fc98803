using System.Text.RegularExpressions;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads what other programs write as JSON.</summary>
internal static partial class JsonText
{
    /// <summary>Puts NaN and Infinity, which JSON does not know and some writers leave bare, in quotes: the field they stand in is then refused by its name and the rest can be read.</summary>
    internal static string WithoutBareWords(string text) => StringOrBareWord().Replace(text, match => match.Value[0] == '"' ? match.Value : $"\"{match.Value}\"");

    // Strings are matched whole, so that a word inside one is left alone.
    [GeneratedRegex("\"(?:[^\"\\\\]|\\\\.)*\"|-?\\bInfinity\\b|\\bNaN\\b", RegexOptions.Singleline)]
    private static partial Regex StringOrBareWord();
}
