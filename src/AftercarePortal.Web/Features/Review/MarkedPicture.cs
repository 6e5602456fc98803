using System.Globalization;
using System.Text;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>A photo with the landmarks placed so far and the lines between them, as one picture: to tap on and to print.</summary>
internal static class MarkedPicture
{
    private static readonly (Landmark From, Landmark To)[] Lines =
    [
        (Landmark.Tragus, Landmark.Gonion), (Landmark.Gonion, Landmark.Menton), (Landmark.Menton, Landmark.Cervical), (Landmark.Cervical, Landmark.Neck), (Landmark.ScaleFrom, Landmark.ScaleTo),
        (Landmark.RightEye, Landmark.LeftEye), (Landmark.RightGonion, Landmark.LeftGonion),
    ];

    public static void MapMarkedPictures(this IEndpointRouteBuilder app) => app.MapGet("/Review/Marked/{id:guid}", async (Guid id, PortalDb db, PhotoStore store, CancellationToken stop) =>
        await db.ProfilePhotos.AsNoTracking().Include(p => p.Marks).SingleOrDefaultAsync(p => p.Id == id, stop) is { } photo
            ? Results.Text(Svg(photo, store.Open(photo.Sealed, id)), "image/svg+xml")
            : Results.NotFound());

    // A picture inside a page may load nothing: the photo stands in it.
    private static string Svg(ProfilePhotoRow photo, byte[] jpeg)
    {
        var marks = photo.Marks.ToDictionary(m => m.Landmark);
        var unit = photo.Width / 340.0;
        static string N(double number) => number.ToString("0.#", CultureInfo.InvariantCulture);
        var svg = new StringBuilder($"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {photo.Width} {photo.Height}\" width=\"{photo.Width}\" height=\"{photo.Height}\" font-family=\"sans-serif\">");
        svg.Append($"<image href=\"data:image/jpeg;base64,{Convert.ToBase64String(jpeg)}\" width=\"{photo.Width}\" height=\"{photo.Height}\"/>");
        foreach (var (from, to) in Lines)
            if (marks.TryGetValue(from, out var a) && marks.TryGetValue(to, out var b))
                svg.Append($"<line x1=\"{N(a.X)}\" y1=\"{N(a.Y)}\" x2=\"{N(b.X)}\" y2=\"{N(b.Y)}\" stroke=\"#ffe9a8\" stroke-width=\"{N(1.5 * unit)}\"/>");
        foreach (var mark in photo.Marks)
            svg.Append($"<circle cx=\"{N(mark.X)}\" cy=\"{N(mark.Y)}\" r=\"{N(3 * unit)}\" fill=\"none\" stroke=\"#fff\" stroke-width=\"{N(1.5 * unit)}\"/>"
                + $"<text x=\"{N(mark.X + 5 * unit)}\" y=\"{N(mark.Y - 4 * unit)}\" font-size=\"{N(13 * unit)}\" fill=\"#fff\" stroke=\"#1d2730\" stroke-width=\"{N(3 * unit)}\" paint-order=\"stroke\">{LandmarkWords.Letter(mark.Landmark)}</text>");
        return svg.Append("</svg>").ToString();
    }
}
