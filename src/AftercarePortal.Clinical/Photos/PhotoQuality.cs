namespace AftercarePortal.Clinical.Photos;

/// <summary>How well a photo can be looked at, from its pixels alone. It says nothing about the face, and never blocks anything.</summary>
/// <param name="Sharpness">Variance of the Laplacian of the grey picture, 0 or more: falls when edges are soft.</param>
/// <param name="Brightness">Mean grey, 0 (black) to 255 (white).</param>
/// <param name="ShortSide">Pixels of the shorter side of the photo as it came.</param>
/// <remarks>Variance of the Laplacian as a measure of focus: Pech-Pacheco and others, 2000 (from memory, unchecked). The bounds are ours, set on few pictures: common practice, no source.</remarks>
public sealed record PhotoQuality(double Sharpness, double Brightness, int ShortSide)
{
    /// <summary>Longer side, in pixels, of the grey picture that is measured: sharpness compares only at one size.</summary>
    public const int MeasuredSide = 512;

    private const double SoftBelow = 25, DarkBelow = 55, BrightAbove = 225;
    private const int SmallBelow = 480;

    /// <summary>What may be wrong with it; empty when nothing was found, which does not say that it is a good photo.</summary>
    public IReadOnlyList<PhotoFlaw> Flaws { get; } =
    [
        .. Brightness < DarkBelow ? [PhotoFlaw.TooDark] : Brightness > BrightAbove ? [PhotoFlaw.TooBright] : Array.Empty<PhotoFlaw>(),
        .. Sharpness < SoftBelow ? [PhotoFlaw.Blurred] : Array.Empty<PhotoFlaw>(),
        .. ShortSide < SmallBelow ? [PhotoFlaw.TooSmall] : Array.Empty<PhotoFlaw>(),
    ];

    /// <summary>Measures a grey picture.</summary>
    /// <param name="grey">One byte a pixel, row by row, <paramref name="width"/> × <paramref name="height"/> of them; the longer side is <see cref="MeasuredSide"/>, or less when the photo is smaller.</param>
    /// <param name="width">Pixels, 3 or more.</param>
    /// <param name="height">Pixels, 3 or more.</param>
    /// <param name="shortSide">Pixels of the shorter side of the photo as it came.</param>
    /// <exception cref="ArgumentException">The pixels are not as many as the sides say, or a side is below 3.</exception>
    public static PhotoQuality Of(ReadOnlySpan<byte> grey, int width, int height, int shortSide)
    {
        if (width < 3 || height < 3 || grey.Length != width * height) throw new ArgumentException("The pixels do not fit the sides.", nameof(grey));
        double light = 0, sum = 0, squares = 0;
        foreach (var pixel in grey) light += pixel;
        for (var y = 1; y < height - 1; y++)
        {
            for (var x = 1; x < width - 1; x++)
            {
                var at = y * width + x;
                double edge = grey[at - width] + grey[at - 1] + grey[at + 1] + grey[at + width] - 4 * grey[at];
                sum += edge;
                squares += edge * edge;
            }
        }

        double count = (width - 2) * (height - 2), mean = sum / count;
        return new(Math.Max(0, squares / count - mean * mean), light / grey.Length, shortSide);
    }
}
