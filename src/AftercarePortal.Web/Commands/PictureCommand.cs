using AftercarePortal.Web.Photos;
using ImageMagick;

namespace AftercarePortal.Web.Commands;

/// <summary><c>picture</c>: one HEIC photo on standard input, a JPEG without metadata on standard output. The portal calls it for each.</summary>
internal static class PictureCommand
{
    public const string Name = "picture";

    /// <summary>Most pixels that are unpacked: what telephones of 48 megapixels make; common practice, no source.</summary>
    private const long MostPixels = 50_000_000;

    private const uint LongSide = 2560;

    /// <returns>0 a JPEG was written; 1 this is no photo within the limits.</returns>
    public static int Run(Stream input, Stream output)
    {
        var file = new MemoryStream();
        var part = new byte[81_920];
        for (int read; (read = input.Read(part)) > 0; file.Write(part, 0, read))
            if (file.Length > SafePicture.MostBytes) return 1;

        (ResourceLimits.Width, ResourceLimits.Height, ResourceLimits.Thread, ResourceLimits.Disk) = (16_384, 16_384, 1, 0);
        (ResourceLimits.Memory, ResourceLimits.MaxMemoryRequest) = (512_000_000, 512_000_000);
        try
        {
            var only = new MagickReadSettings { Format = MagickFormat.Heic, FrameIndex = 0, FrameCount = 1 };
            file.Position = 0;
            var told = new MagickImageInfo(file, only);                         // from the header alone, before a pixel is unpacked
            if ((long)told.Width * told.Height > MostPixels) return 1;
            file.Position = 0;
            using var picture = new MagickImage(file, only);
            picture.AutoOrient();
            picture.TransformColorSpace(ColorProfiles.SRGB);
            picture.Strip();
            if (Math.Max(picture.Width, picture.Height) > LongSide) picture.Resize(new MagickGeometry(LongSide, LongSide));
            (picture.Format, picture.Quality) = (MagickFormat.Jpeg, 92);
            picture.Write(output);
            return 0;
        }
        catch (MagickException)
        {
            return 1;                                                           // broken, or of a kind nobody sends
        }
    }
}
