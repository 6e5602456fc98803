using SkiaSharp;

namespace AftercarePortal.Web.Photos;

/// <summary>A picture made anew from a stranger's bytes: upright, of bounded size, with nothing of the file but its pixels.</summary>
/// <param name="Jpeg">The picture, at most 2,560 pixels on its longer side.</param>
/// <param name="Small">The same, at most 320 pixels on its longer side.</param>
/// <param name="Width">Pixels of <paramref name="Jpeg"/>.</param>
/// <param name="Height">Pixels of <paramref name="Jpeg"/>.</param>
internal sealed record SafePicture(byte[] Jpeg, byte[] Small, int Width, int Height)
{
    /// <summary>Largest file that is looked at, in bytes. The carrier's messages hold 5 MB (its documentation, media resource).</summary>
    public const int MostBytes = 8_000_000;

    /// <summary>Most pixels that are unpacked, 4 bytes each. A larger JPEG is unpacked at a half to an eighth of its size; common practice, no source.</summary>
    public const long MostPixels = 30_000_000;

    /// <summary>Most pixels a JPEG may have at all; common practice, no source.</summary>
    public const long MostPixelsOfJpeg = 64_000_000;

    /// <summary>From so many pixels on, one picture is unpacked at a time; common practice, no source.</summary>
    private const long Large = 16_000_000;

    private static readonly SemaphoreSlim TurnOfLarge = new(1);

    private const int LongSide = 2560, SmallSide = 320;

    /// <summary>Like <see cref="From"/>, and a HEIC photo is unpacked first, by a process of its own. Large ones wait for each other.</summary>
    public static async Task<SafePicture?> Read(byte[] file, CancellationToken stop)
    {
        if (HeicPicture.IsOne(file)) return file.Length <= MostBytes && await HeicPicture.ToJpeg(file, stop) is { } jpeg ? await InTurn(jpeg, stop) : null;
        return await InTurn(file, stop);
    }

    private static async Task<SafePicture?> InTurn(byte[] file, CancellationToken stop)
    {
        if (PixelsOf(file) <= Large) return From(file);
        await TurnOfLarge.WaitAsync(stop);
        try
        {
            return From(file);
        }
        finally
        {
            TurnOfLarge.Release();
        }
    }

    // As its header says; 0: none that would be unpacked.
    private static long PixelsOf(byte[] file)
    {
        if (file.Length is 0 or > MostBytes || !LooksLikeOne(file)) return 0;
        using var data = SKData.CreateCopy(file);
        using var codec = SKCodec.Create(data);
        return codec is null ? 0 : (long)codec.Info.Width * codec.Info.Height;
    }

    /// <summary>Null: not a whole JPEG, PNG, WebP or GIF within the limits. A picture of which a part is missing counts as none.</summary>
    public static SafePicture? From(byte[] file)
    {
        if (file.Length is 0 or > MostBytes || !LooksLikeOne(file)) return null;
        using var data = SKData.CreateCopy(file);
        using var codec = SKCodec.Create(data);
        if (codec is null || SizeToUnpack(codec, file) is not { } size) return null;
        using var bitmap = new SKBitmap();
        if (!bitmap.TryAllocPixels(new SKImageInfo(size.Width, size.Height, SKColorType.Rgba8888, SKAlphaType.Premul, SKColorSpace.CreateSrgb()))) return null;
        if (codec.GetPixels(bitmap.Info, bitmap.GetPixels()) is not SKCodecResult.Success) return null;

        var (jpeg, width, height) = Draw(bitmap, codec.EncodedOrigin, LongSide, quality: 90);
        return new(jpeg, Draw(bitmap, codec.EncodedOrigin, SmallSide, quality: 80).Jpeg, width, height);
    }

    // Only four well-worn decoders are ever handed a stranger's bytes.
    private static bool LooksLikeOne(ReadOnlySpan<byte> file) =>
        file.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF])
        || file.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A])
        || file.StartsWith("GIF8"u8)
        || file.Length > 12 && file.StartsWith("RIFF"u8) && file[8..].StartsWith("WEBP"u8);

    // Decided from the header alone, before a pixel is unpacked.
    private static SKSizeI? SizeToUnpack(SKCodec codec, ReadOnlySpan<byte> file)
    {
        // Only a JPEG is unpacked smaller; the other kinds are unpacked whole first, and a small file can hold a very large plain picture.
        var whole = (long)codec.Info.Width * codec.Info.Height;
        var isJpeg = codec.EncodedFormat is SKEncodedImageFormat.Jpeg;
        // A progressive one is held whole, six bytes a pixel, whatever size it is unpacked at.
        if (whole > (isJpeg && !IsProgressive(file) ? MostPixelsOfJpeg : MostPixels)) return null;
        foreach (var scale in new[] { 1f, 0.5f, 0.25f, 0.125f })
        {
            var size = scale == 1f ? codec.Info.Size : codec.GetScaledDimensions(scale);
            if (size.Width < 1 || size.Height < 1) return null;
            if ((long)size.Width * size.Height <= MostPixels) return size;
        }

        return null;
    }

    // ITU-T T.81, B.1.1: segments from marker to marker, each but the first with its length; table B.1: SOF2, 6, 10 and 14 are progressive.
    private static bool IsProgressive(ReadOnlySpan<byte> jpeg)
    {
        for (var at = 2; at + 3 < jpeg.Length && jpeg[at] == 0xFF;)
        {
            var marker = jpeg[at + 1];
            if (marker is 0xC2 or 0xC6 or 0xCA or 0xCE) return true;
            if (marker is 0xDA) return false;                               // the picture itself begins
            at += marker is 0xFF ? 1 : 2 + (jpeg[at + 2] << 8 | jpeg[at + 3]);
        }

        return true;                                                        // who cannot be followed to its picture is taken for the dearer kind
    }

    private static (byte[] Jpeg, int Width, int Height) Draw(SKBitmap stored, SKEncodedOrigin origin, int longSide, int quality)
    {
        var turned = origin >= SKEncodedOrigin.LeftTop;                     // 5 to 8: the long side lies across
        var (w, h) = turned ? (stored.Height, stored.Width) : (stored.Width, stored.Height);
        var scale = Math.Min(1f, (float)longSide / Math.Max(w, h));
        var (width, height) = (Math.Max(1, (int)MathF.Round(w * scale)), Math.Max(1, (int)MathF.Round(h * scale)));
        using var surface = SKSurface.Create(new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Premul, SKColorSpace.CreateSrgb()))
            ?? throw new InvalidOperationException("There is no memory for a picture.");
        surface.Canvas.Clear(SKColors.White);
        surface.Canvas.Scale((float)width / w, (float)height / h);
        surface.Canvas.Concat(Upright(origin, w, h));
        using var image = SKImage.FromBitmap(stored);
        surface.Canvas.DrawImage(image, 0, 0, new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear));
        using var drawn = surface.Snapshot();
        using var jpeg = drawn.Encode(SKEncodedImageFormat.Jpeg, quality) ?? throw new InvalidOperationException("A picture could not be written.");
        return (jpeg.ToArray(), width, height);
    }

    // Stored → upright, for an upright picture of w × h. Source: Exif 2.32, tag 0x0112, the eight places of row 0 and column 0.
    private static SKMatrix Upright(SKEncodedOrigin origin, int w, int h) => origin switch
    {
        SKEncodedOrigin.TopRight => new(-1, 0, w, 0, 1, 0, 0, 0, 1),
        SKEncodedOrigin.BottomRight => new(-1, 0, w, 0, -1, h, 0, 0, 1),
        SKEncodedOrigin.BottomLeft => new(1, 0, 0, 0, -1, h, 0, 0, 1),
        SKEncodedOrigin.LeftTop => new(0, 1, 0, 1, 0, 0, 0, 0, 1),
        SKEncodedOrigin.RightTop => new(0, -1, w, 1, 0, 0, 0, 0, 1),
        SKEncodedOrigin.RightBottom => new(0, -1, w, -1, 0, h, 0, 0, 1),
        SKEncodedOrigin.LeftBottom => new(0, 1, 0, -1, 0, h, 0, 0, 1),
        _ => SKMatrix.Identity,
    };
}
