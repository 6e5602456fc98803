using System.Globalization;
using System.Text.Encodings.Web;
using System.Xml.Linq;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Testing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Shared;
using Xunit;

namespace AftercarePortal.Web.Tests.Shared;

public sealed class Range_chart
{
    private static readonly XNamespace Svg = "http://www.w3.org/2000/svg";
    private static readonly ContentLibrary Content = ContentLibrary.Load(ContentLibrary.Folder);

    public static TheoryData<string, string> Wishes => new()
    {
        { "jaw-angle jaw-body pre-jowl", "caha-filler" }, { "labiomental-fold", "ha-filler" }, { "neck-bands", "" }, { "jaw-angle chin neck-bands", "" },
    };

    [Theory]
    [MemberData(nameof(Wishes))]
    public void The_drawing_is_a_named_image_and_everything_stays_inside_it(string regions, string product)
    {
        var drawing = RangeChart.Drawing(Range(regions, product), "range");
        Assert.Equal("img", (string?)drawing.Attribute("role"));
        Assert.Equal(["range-title", "range-desc"], ((string)drawing.Attribute("aria-labelledby")!).Split(' '));
        Assert.Equal(["range-title", "range-desc"], drawing.Elements().Take(2).Select(e => (string?)e.Attribute("id")));
        Assert.All(drawing.Descendants(Svg + "rect"), r => Assert.True(At(r, "x") >= 0 && At(r, "y") >= 0 && At(r, "x") + At(r, "width") <= 360.01 && At(r, "y") + At(r, "height") <= 214.01));
        // A letter takes at most 0.62 of its size here.
        Assert.All(drawing.Descendants(Svg + "text"), t =>
        {
            var wide = t.Value.Length * 0.62 * (t.Attribute("font-size") is { } size ? (double)size : 13);
            var left = At(t, "x") - (string?)t.Attribute("text-anchor") switch { "middle" => wide / 2, "end" => wide, _ => 0 };
            Assert.InRange(left, -1, 360);
            Assert.InRange(left + wide, 0, 361);
        });
    }

    [Theory]
    [MemberData(nameof(Wishes))]
    public void The_bars_are_as_high_as_they_are_likely_and_the_central_range_is_shaded(string regions, string product)
    {
        var range = Range(regions, product);
        var boxes = RangeChart.Drawing(range, "range").Descendants(Svg + "rect").ToList();
        var bars = boxes.Where(b => (string?)b.Attribute("fill") is Draw.Deep or Draw.Quiet).ToList();
        var likely = range.Bars.Where(b => b.Probability > 0).ToList();
        Assert.Equal(likely.Count, bars.Count);
        var (highest, unit) = (likely.Max(b => b.Probability), bars.Max(b => At(b, "height")));
        Assert.All(bars.Zip(likely), pair => Assert.Equal(Math.Max(1, unit * pair.Second.Probability / highest), At(pair.First, "height"), 0.02));
        var band = boxes.Single(b => (string?)b.Attribute("fill") == Draw.Soft);
        Assert.All(bars.Where(b => (string?)b.Attribute("fill") == Draw.Deep), b => Assert.InRange(At(b, "x"), At(band, "x") - 0.01, At(band, "x") + At(band, "width")));
    }

    [Fact]
    public void The_same_stands_in_words_and_in_a_table_without_script_or_style()
    {
        var range = Range("jaw-angle chin", "");
        using var writer = new StringWriter();
        RangeChart.Figure(range, "range").WriteTo(writer, HtmlEncoder.Default);
        var figure = XElement.Parse(writer.ToString());
        Assert.Contains(range.MassSays(), figure.Value);
        Assert.Contains(range.AtMostSays(), figure.Value);
        Assert.Equal(range.Table().Select(r => r.AtMost.ToString()), figure.Descendants("td").Select(d => d.Value));
        Assert.DoesNotContain(figure.Descendants(), e => e.Name.LocalName is "script" or "style" or "a" or "image" || e.Attributes().Any(a => a.Name.LocalName is "style" or "href" || a.Name.LocalName.StartsWith("on", StringComparison.Ordinal)));
    }

    [Theory]
    [Source("WCAG 2.2, relative luminance and contrast ratio (memory, unchecked)", at: "1.4.3 text 4.5:1, 1.4.11 graphics 3:1")]
    [InlineData(Draw.Ink, Draw.Paper, 4.5)]
    [InlineData(Draw.Deep, Draw.Paper, 4.5)]
    [InlineData(Draw.Warn, Draw.Paper, 4.5)]
    [InlineData(Draw.Deep, Draw.Soft, 3)]
    [InlineData(Draw.Quiet, Draw.Paper, 3)]
    [InlineData(Draw.Quiet, Draw.Soft, 3)]
    public void Colours_can_be_told_apart(string one, string other, double ratio)
    {
        var (a, b) = (Luminance(one), Luminance(other));
        Assert.True((Math.Max(a, b) + 0.05) / (Math.Min(a, b) + 0.05) >= ratio);
    }

    private static PriceRange Range(string regions, string product)
    {
        var answers = new Dictionary<string, Answer> { ["wish-regions"] = new Answer.Given(regions.Split(' ')), ["birth-date"] = new Answer.Given("1981-05-04") };
        if (product.Length > 0) answers["wish-product"] = new Answer.Given(product);
        var read = new Answers(answers);
        return Assert.IsType<PriceOutcome.Known>(Content.Pricing.RangeFor(Clinical.Pricing.Wishes.From(read, new(2026, 11, 25)), read, Content.PriceLists["wrenfold-prices.v1"], Content.Pricing.ColdStart())).Range;
    }

    private static double At(XElement element, string attribute) => (double)element.Attribute(attribute)!;

    private static double Luminance(string colour)
    {
        var parts = Enumerable.Range(0, 3).Select(i => int.Parse(colour.AsSpan(1 + 2 * i, 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture) / 255.0).Select(c => c <= 0.04045 ? c / 12.92 : Math.Pow((c + 0.055) / 1.055, 2.4)).ToArray();
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2];
    }
}
