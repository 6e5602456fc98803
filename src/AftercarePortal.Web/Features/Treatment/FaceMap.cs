using System.Globalization;
using System.Text;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Features.Shared;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>One frame on the drawn face, in pixels of the drawing.</summary>
internal sealed record FaceArea(Region Region, Side Side, int X, int Y, int Width, int Height);

/// <summary>Our drawing of a face from the front, and what lies where in it. The patient's left is on the right of the drawing.</summary>
/// <remarks>A drawing to choose a region by; no map of vessels or nerves, and no advice where to inject.</remarks>
internal static class FaceMap
{
    public const int Width = 320, Height = 380;

    public static IReadOnlyList<FaceArea> Areas { get; } =
    [
        .. Pair(Region.Preauricular, 42, 112, 62, 46),
        .. Pair(Region.JawAngle, 42, 166, 62, 46),
        .. Pair(Region.JawBody, 58, 218, 62, 46),
        .. Pair(Region.PreJowl, 74, 270, 62, 46),
        new(Region.LabiomentalFold, Side.Midline, 126, 222, 68, 44),
        new(Region.Chin, Side.Midline, 140, 270, 40, 46),
        .. Pair(Region.Platysma, 92, 328, 64, 46),
    ];

    /// <summary>What lies at a point of the drawing; null outside all frames.</summary>
    public static FaceArea? At(int x, int y) => Areas.FirstOrDefault(a => x >= a.X && x < a.X + a.Width && y >= a.Y && y < a.Y + a.Height);

    /// <summary>The drawing as SVG.</summary>
    public static string Svg()
    {
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{Width}\" height=\"{Height}\" viewBox=\"0 0 {Width} {Height}\" font-family=\"sans-serif\">");
        svg.Append("<rect width=\"320\" height=\"380\" fill=\"#fff\"/><g fill=\"none\" stroke=\"#6f6a5f\" stroke-width=\"2\">");
        svg.Append("<path d=\"M58,110C58,5 262,5 262,110L262,180Q262,225 240,262Q205,322 160,322Q115,322 80,262Q58,225 58,180Z\"/>");
        svg.Append("<path d=\"M104,302V378M216,302V378M160,105V150Q150,166 160,168M132,200Q160,212 188,200M132,200Q160,188 188,200M100,98Q118,86 134,98M186,98Q202,86 220,98\"/></g>");
        svg.Append("<text x=\"6\" y=\"18\" font-size=\"13\">patient's right</text><text x=\"314\" y=\"18\" font-size=\"13\" text-anchor=\"end\">patient's left</text>");
        foreach (var area in Areas) Draw(svg, area);
        return svg.Append("</svg>").ToString();
    }

    private static void Draw(StringBuilder svg, FaceArea area)
    {
        svg.Append(CultureInfo.InvariantCulture, $"<rect x=\"{area.X}\" y=\"{area.Y}\" width=\"{area.Width}\" height=\"{area.Height}\" rx=\"8\" fill=\"#eef2ef\" fill-opacity=\".85\" stroke=\"#1f4e5f\" stroke-width=\"2\"/>");
        var words = Plain.Words(area.Region).Split(' ');
        for (var i = 0; i < words.Length; i++)
            svg.Append(CultureInfo.InvariantCulture, $"<text x=\"{area.X + area.Width / 2}\" y=\"{area.Y + area.Height / 2 + 5 + 14 * i - 7 * (words.Length - 1)}\" font-size=\"11\" text-anchor=\"middle\" fill=\"#1d2730\">{words[i]}</text>");
    }

    private static FaceArea[] Pair(Region region, int x, int y, int width, int height) =>
        [new(region, Side.Right, x, y, width, height), new(region, Side.Left, Width - x - width, y, width, height)];
}
