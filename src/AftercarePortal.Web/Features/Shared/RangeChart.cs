using System.Globalization;
using System.Xml.Linq;
using AftercarePortal.Clinical.Pricing;
using Microsoft.AspNetCore.Html;
using static AftercarePortal.Web.Features.Shared.Draw;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>Draws a price range as it was kept: the shape of the distribution, the central range, the outer bound; and says the same in words.</summary>
/// <remarks>Plain SVG without script or style, so it stands under the strictest content policy and in print. Drawn for a screen of 390 px.</remarks>
internal static class RangeChart
{
    private const double Width = 360, Height = 214, Left = 12, Right = 12, Top = 56, Bottom = 40;

    /// <summary>The chart with its words and a table that says the same.</summary>
    /// <param name="range">The range, as kept.</param>
    /// <param name="id">Unique on the page.</param>
    /// <param name="words">In the reader's language; null: the clinic's.</param>
    public static IHtmlContent Figure(PriceRange range, string id, ChartWords? words = null)
    {
        var say = words ?? ChartWords.Of(range);
        var table = new XElement("table",
            new XElement("caption", say.Caption),
            new XElement("thead", new XElement("tr", new XElement("th", new XAttribute("scope", "col"), say.Of100), new XElement("th", new XAttribute("scope", "col"), say.CostAtMost))),
            new XElement("tbody", range.Table().Select(row => new XElement("tr", new XElement("th", new XAttribute("scope", "row"), row.InHundred), new XElement("td", row.AtMost.ToString())))));
        var figure = new XElement("figure", new XAttribute("class", "range-chart"),
            Drawing(range, id, say),
            words is null ? new XElement("figcaption", new XElement("p", say.MassSays), new XElement("p", say.AtMostSays)) : null,
            new XElement("details", new XElement("summary", say.Table), table));
        return new HtmlString(figure.ToString(SaveOptions.DisableFormatting));
    }

    /// <summary>The drawing alone.</summary>
    public static XElement Drawing(PriceRange range, string id, ChartWords? words = null)
    {
        var say = words ?? ChartWords.Of(range);
        long start = range.Bars[0].From, end = range.Bars[^1].To;
        double X(long minor) => Left + (Width - Left - Right) * (minor - start) / (end - start);
        var floor = Height - Bottom;
        var highest = range.Bars.Max(b => b.Probability);
        var (from, to, most) = (X(range.Central.From.Minor), X(range.Central.To.Minor), X(range.AtMost.Minor));
        var drawing = Picture(Width, Height, id, say.Title, $"{say.MassSays} {say.AtMostSays}");
        drawing.Add(Box(from, Top - 14, to - from, floor - Top + 14, Soft));
        foreach (var bar in range.Bars.Where(b => b.Probability > 0))
        {
            var height = Math.Max(1, (floor - Top) * bar.Probability / highest);
            var inside = bar.From >= range.Central.From.Minor && bar.To <= range.Central.To.Minor;
            drawing.Add(Box(X(bar.From) + 0.5, floor - height, Math.Max(1.5, X(bar.To) - X(bar.From) - 1), height, inside ? Deep : Quiet));
        }

        drawing.Add(
            Line(from, Top - 14, from, floor, Deep, null), Line(to, Top - 14, to, floor, Deep, null), Line(most, 44, most, floor, Warn, "4 3"), Line(Left, floor, Width - Right, floor, Ink, null),
            Text(Near((from + to) / 2, 75), 18, "middle", say.Range, Deep, bold: true),
            Text(Width - Right, 38, "end", string.Format(CultureInfo.InvariantCulture, say.More, range.AtMost.Amount()), Warn, bold: false));
        foreach (var tick in Ticks(start, end))
            drawing.Add(Line(X(tick), floor, X(tick), floor + 5, Ink, null), Text(Near(X(tick), 20), floor + 19, "middle", (range.AtMost with { Minor = tick }).Amount(), Ink, bold: false));
        drawing.Add(Text(Width / 2, Height - 5, "middle", say.Axis, Ink, bold: false));
        return drawing;
    }

    // Round amounts, four to six of them.
    private static IEnumerable<long> Ticks(long start, long end)
    {
        var step = 100L;
        for (var i = 0; (end - start) / step > 5; i++) step = i % 3 == 1 ? step / 2 * 5 : step * 2;
        for (var tick = MoneyStep.Up(start, step); tick <= end; tick += step) yield return tick;
    }

    // A label never leaves the picture.
    private static double Near(double x, double half) => Math.Clamp(x, Left + half - 8, Width - Right - half + 8);
}
