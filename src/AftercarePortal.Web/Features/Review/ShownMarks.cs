using System.Globalization;
using AftercarePortal.Clinical.Anatomy;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Landmarks and scale of a photo as a page showed them: what was touched there, and what became otherwise meanwhile.</summary>
/// <param name="Scale">In mm with one decimal; empty: none.</param>
/// <param name="Places">Right and down with one decimal, and when it was placed, Unix milliseconds.</param>
internal sealed record ShownMarks(string Scale, IReadOnlyDictionary<Landmark, (string X, string Y, long At)> Places)
{
    /// <summary>As the photo stands now.</summary>
    public static ShownMarks Of(ProfilePhotoRow photo) => new(
        (photo.ScaleTenthsMm / 10m)?.ToString("0.0", CultureInfo.InvariantCulture) ?? "",
        photo.Marks.ToDictionary(m => m.Landmark, m => (Said(m.X), Said(m.Y), m.PlacedAt.ToUnixTimeMilliseconds())));

    /// <summary>From the form it was written into; what cannot be read was not shown.</summary>
    public static ShownMarks Read(string? written)
    {
        var parts = (written ?? "").Split('|');
        var places = new Dictionary<Landmark, (string, string, long)>();
        foreach (var part in parts.Skip(1))
            if (part.Split(' ') is [var name, var x, var y, var at] && Enum.TryParse<Landmark>(name, out var landmark) && long.TryParse(at, NumberStyles.None, CultureInfo.InvariantCulture, out var placed)) places[landmark] = (x, y, placed);
        return new(parts[0], places);
    }

    /// <summary>For a hidden field: <c>50.0|Tragus 1 13.5 1936688400000|…</c></summary>
    public override string ToString() => string.Join('|', Places.OrderBy(p => p.Key).Select(p => $"{p.Key} {p.Value.X} {p.Value.Y} {p.Value.At.ToString(CultureInfo.InvariantCulture)}").Prepend(Scale));

    /// <summary>The page showed a landmark just there: sending it back touches nothing.</summary>
    public bool Showed(Landmark landmark, string x, string y) => Places.TryGetValue(landmark, out var shown) && (shown.X, shown.Y) == (x.Trim(), y.Trim());

    /// <summary>Landmarks that stand otherwise now than here.</summary>
    public IReadOnlyList<Landmark> MovedSince(ShownMarks now) => [.. now.Places.Where(p => !Places.TryGetValue(p.Key, out var shown) || shown != p.Value).Select(p => p.Key)];

    /// <summary>A place as the page shows it.</summary>
    public static string Said(double pixels) => pixels.ToString("0.#", CultureInfo.InvariantCulture);
}
