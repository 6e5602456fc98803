using System.Text.Encodings.Web;
using Microsoft.AspNetCore.Html;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>Makes the numbers in a sentence ring when they are tapped.</summary>
internal static class ToRing
{
    /// <summary>The sentence, encoded, each of the numbers a link.</summary>
    /// <param name="numbers">As they stand in the sentence; one that does not stand there changes nothing.</param>
    public static IHtmlContent In(string said, params string[] numbers)
    {
        var html = HtmlEncoder.Default.Encode(said);
        foreach (var number in numbers.Where(n => n.Any(char.IsAsciiDigit)).Distinct())
            html = html.Replace(HtmlEncoder.Default.Encode(number), $"<a class=\"ring\" href=\"tel:{Dialled(number)}\">{HtmlEncoder.Default.Encode(number)}</a>", StringComparison.Ordinal);
        return new HtmlString(html);
    }

    // RFC 3966: digits and a leading plus; what separates them only helps the eye.
    private static string Dialled(string number) => (number.TrimStart().StartsWith('+') ? "+" : "") + string.Concat(number.Where(char.IsAsciiDigit));
}
