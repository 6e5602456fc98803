using AftercarePortal.Clinical.Photos;
using AftercarePortal.Testing;
using SkiaSharp;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Photos;

public sealed class Photo_quality
{
    [Fact]
    public void A_single_bright_pixel_on_black_gives_the_variance_of_the_kernel_itself()
    {
        // The Laplacian of one pixel of 10 on black: once -40, four times 10, else 0. Over 5 × 5 inner pixels: (1600 + 4 × 100) / 25 - 0.
        var grey = new byte[49];
        grey[3 * 7 + 3] = 10;
        var quality = PhotoQuality.Of(grey, 7, 7, 1000);
        Assert.Equal(80, quality.Sharpness, 1e-9);
        Assert.Equal(10.0 / 49, quality.Brightness, 1e-9);
    }

    [Fact]
    public void A_flat_picture_has_no_sharpness_and_a_ramp_has_none_either()
    {
        Assert.Equal(0, PhotoQuality.Of([.. Enumerable.Repeat((byte)120, 100)], 10, 10, 1000).Sharpness);
        Assert.Equal(0, PhotoQuality.Of([.. Enumerable.Range(0, 100).Select(i => (byte)(i % 10 * 20))], 10, 10, 1000).Sharpness);
    }

    [Fact]
    public void Nearly_white_all_over_is_too_bright() =>
        Assert.Contains(PhotoFlaw.TooBright, PhotoQuality.Of([.. Enumerable.Repeat((byte)240, 100)], 10, 10, 1000).Flaws);

    [Theory]
    [InlineData(99, 10, 10)]
    [InlineData(4, 2, 2)]
    public void Pixels_that_do_not_fit_the_sides_are_a_mistake(int pixels, int width, int height) =>
        Assert.Throws<ArgumentException>(() => PhotoQuality.Of(new byte[pixels], width, height, 1));

    [Fact]
    [Source("NASA portrait of an astronaut, public domain (shared data images/person)", at: "the picture as it is, blurred, darkened, brightened")]
    public void A_sharp_portrait_is_left_alone_and_the_same_blurred_or_dark_is_not()
    {
        using var portrait = SKBitmap.Decode(Path.Combine(OpenData.Folder, "images", "person", "astronaut.png"));
        Assert.Empty(Measure(portrait, 0, 1).Flaws);
        Assert.Equal([PhotoFlaw.Blurred], Measure(portrait, 4, 1).Flaws);
        Assert.Contains(PhotoFlaw.TooDark, Measure(portrait, 0, 0.3f).Flaws);
        var sharpness = new[] { 0f, 1, 2, 3, 4, 6, 10 }.Select(sigma => Measure(portrait, sigma, 1).Sharpness).ToList();
        Assert.Equal(sharpness.OrderDescending(), sharpness);
    }

    private static PhotoQuality Measure(SKBitmap picture, float sigma, float light)
    {
        using var surface = SKSurface.Create(new SKImageInfo(picture.Width, picture.Height, SKColorType.Rgba8888));
        using var paint = new SKPaint
        {
            ImageFilter = SKImageFilter.CreateBlur(sigma, sigma, SKShaderTileMode.Clamp),
            ColorFilter = SKColorFilter.CreateColorMatrix([light, 0, 0, 0, 0, 0, light, 0, 0, 0, 0, 0, light, 0, 0, 0, 0, 0, 1, 0]),
        };
        using var whole = SKImage.FromBitmap(picture);
        surface.Canvas.DrawImage(whole, 0, 0, new SKSamplingOptions(SKFilterMode.Nearest), paint);
        using var drawn = surface.Snapshot();
        using var grey = new SKBitmap(new SKImageInfo(picture.Width, picture.Height, SKColorType.Gray8));
        Assert.True(drawn.ReadPixels(grey.Info, grey.GetPixels(), grey.RowBytes, 0, 0));
        return PhotoQuality.Of(grey.GetPixelSpan()[..(picture.Width * picture.Height)], picture.Width, picture.Height, Math.Min(picture.Width, picture.Height));
    }
}
