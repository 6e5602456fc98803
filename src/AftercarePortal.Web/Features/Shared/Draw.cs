using System.Globalization;
using System.Xml.Linq;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>The strokes all charts are drawn with: plain SVG without script or style, so it stands under the strictest content policy and in print.</summary>
internal static class Draw
{
    internal const string Ink = "#1d2730", Deep = "#1f4e5f", Soft = "#dfe9e6", Quiet = "#66777d", Warn = "#8a2b1c", Paper = "#ffffff";

    private static readonly XNamespace Svg = "http://www.w3.org/2000/svg";

    /// <summary>An empty picture with its title and its words for those who do not see it.</summary>
    /// <param name="width">Of its own coordinates; drawn as wide as the column.</param>
    /// <param name="height">Of its own coordinates.</param>
    /// <param name="id">Unique on the page.</param>
    /// <param name="title">What it is.</param>
    /// <param name="says">What it shows.</param>
    public static XElement Picture(double width, double height, string id, string title, string says) => new(Svg + "svg",
        new XAttribute("viewBox", $"0 0 {Number(width)} {Number(height)}"), new XAttribute("width", "100%"), new XAttribute("role", "img"), new XAttribute("aria-labelledby", $"{id}-title {id}-desc"),
        new XAttribute("font-family", "system-ui, sans-serif"), new XAttribute("font-size", "13"), new XAttribute("fill", Ink),
        new XElement(Svg + "title", new XAttribute("id", $"{id}-title"), title), new XElement(Svg + "desc", new XAttribute("id", $"{id}-desc"), says), Box(0, 0, width, height, Paper));

    /// <summary>A filled rectangle; coordinates of the picture.</summary>
    public static XElement Box(double x, double y, double width, double height, string fill) => new(Svg + "rect",
        new XAttribute("x", Number(x)), new XAttribute("y", Number(y)), new XAttribute("width", Number(width)), new XAttribute("height", Number(height)), new XAttribute("fill", fill));

    /// <summary>A stroke 1.5 wide; <paramref name="dashes"/> as SVG writes them, null: unbroken.</summary>
    public static XElement Line(double x1, double y1, double x2, double y2, string stroke, string? dashes = null) => new(Svg + "line",
        new XAttribute("x1", Number(x1)), new XAttribute("y1", Number(y1)), new XAttribute("x2", Number(x2)), new XAttribute("y2", Number(y2)), new XAttribute("stroke", stroke),
        new XAttribute("stroke-width", "1.5"), dashes is null ? null : new XAttribute("stroke-dasharray", dashes));

    /// <summary>A filled circle of radius 5.</summary>
    public static XElement Dot(double x, double y, string fill) => new(Svg + "circle",
        new XAttribute("cx", Number(x)), new XAttribute("cy", Number(y)), new XAttribute("r", "5"), new XAttribute("fill", fill));

    /// <summary>Words at a point; <paramref name="anchor"/> is <c>start</c>, <c>middle</c> or <c>end</c>.</summary>
    public static XElement Text(double x, double y, string anchor, string words, string fill, bool bold = false) => new(Svg + "text",
        new XAttribute("x", Number(x)), new XAttribute("y", Number(y)), new XAttribute("text-anchor", anchor), new XAttribute("fill", fill),
        bold ? new XAttribute("font-weight", "700") : null, bold ? new XAttribute("font-size", "16") : null, words);

    private static string Number(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);
}
