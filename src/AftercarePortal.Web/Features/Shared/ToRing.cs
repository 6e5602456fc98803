using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Html;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>Makes the numbers in a sentence ring when they are tapped.</summary>
internal static class ToRing
{
    /// <summary>The sentence, encoded, each of the numbers a link.</summary>
    /// <param name="numbers">As they stand in the sentence; one that does not stand there changes nothing.</param>
    public static IHtmlContent In(string said, params string[] numbers)
    {
        // The longer first: a short number may stand inside a long one. None begins or ends in the middle of another.
        var wanted = numbers.Where(n => n.Any(char.IsAsciiDigit)).Distinct().OrderByDescending(n => n.Length).Select(Regex.Escape).ToList();
        if (wanted.Count == 0) return new HtmlString(HtmlEncoder.Default.Encode(said));
        var (html, at) = (new StringBuilder(), 0);
        foreach (Match number in Regex.Matches(said, $"(?<![0-9])(?:{string.Join('|', wanted)})(?![0-9])"))
        {
            html.Append(HtmlEncoder.Default.Encode(said[at..number.Index]))
                .Append(CultureInfo.InvariantCulture, $"<a class=\"ring\" href=\"tel:{Dialled(number.Value)}\">{HtmlEncoder.Default.Encode(number.Value)}</a>");
            at = number.Index + number.Length;
        }

        return new HtmlString(html.Append(HtmlEncoder.Default.Encode(said[at..])).ToString());
    }

    // RFC 3966: digits and a leading plus; what separates them only helps the eye.
    private static string Dialled(string number) => (number.TrimStart().StartsWith('+') ? "+" : "") + string.Concat(number.Where(char.IsAsciiDigit));
}
