using AftercarePortal.Clinical.Photos;
using SkiaSharp;

namespace AftercarePortal.Web.Photos;

/// <summary>Measures a picture of our own making.</summary>
internal static class PictureQuality
{
    /// <summary>Sharpness and light of the picture, drawn grey at the size the measure compares at.</summary>
    /// <exception cref="InvalidOperationException">There is no memory for it.</exception>
    public static PhotoQuality Of(SafePicture picture)
    {
        using var stored = SKBitmap.Decode(picture.Jpeg) ?? throw new InvalidOperationException("A picture of our own cannot be read.");
        var scale = Math.Min(1f, (float)PhotoQuality.MeasuredSide / Math.Max(stored.Width, stored.Height));
        var (width, height) = (Math.Max(3, (int)MathF.Round(stored.Width * scale)), Math.Max(3, (int)MathF.Round(stored.Height * scale)));
        using var grey = new SKBitmap(new SKImageInfo(width, height, SKColorType.Gray8, SKAlphaType.Opaque));
        if (!stored.ScalePixels(grey, new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear))) throw new InvalidOperationException("A picture could not be drawn grey.");
        var pixels = new byte[width * height];
        for (var y = 0; y < height; y++) grey.GetPixelSpan().Slice(y * grey.RowBytes, width).CopyTo(pixels.AsSpan(y * width));
        return PhotoQuality.Of(pixels, width, height, Math.Min(picture.Width, picture.Height));
    }
}
