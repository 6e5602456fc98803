using System.Text;
using AftercarePortal.Testing;
using AftercarePortal.Web.Photos;
using SkiaSharp;
using Xunit;

namespace AftercarePortal.Web.Tests.Photos;

/// <summary>A photo as telephones keep it. A process of its own unpacks it.</summary>
public sealed class Heic_photo
{
    private static readonly string Folder = Path.Combine(OpenData.Folder, "images", "heic");
    private static readonly byte[] Example = File.ReadAllBytes(Path.Combine(Folder, "example.heic"));

    [Fact]
    [Source("libheif, examples/example.heic", at: "1280 x 854 pixels; the sky above, stones below")]
    public async Task Becomes_a_picture_of_its_size_with_nothing_of_the_file_but_its_pixels()
    {
        var picture = await SafePicture.Read(Example, default);
        Assert.NotNull(picture);
        Assert.Equal((1280, 854), (picture.Width, picture.Height));
        Assert.Equal([0xFF, 0xD8, 0xFF], picture.Jpeg[..3]);
        Assert.DoesNotContain("Exif", Encoding.Latin1.GetString(picture.Jpeg));
        using var seen = SKBitmap.Decode(picture.Small);
        Assert.True(seen.Pixels.Distinct().Count() > 1000, "The picture is one grey field.");
    }

    [Theory]
    [InlineData(16)]
    [InlineData(1000)]
    [InlineData(100_000)]
    public async Task Cut_short_is_none(int bytes) => Assert.Null(await SafePicture.Read(Example[..bytes], default));

    [Fact]
    public async Task That_says_it_has_sixteen_hundred_megapixels_is_none()
    {
        var huge = Example.ToArray();
        for (var at = 0; at < 4000; at++)
            if (huge.AsSpan(at).StartsWith("ispe"u8)) (huge[at + 8], huge[at + 9], huge[at + 10], huge[at + 12], huge[at + 13], huge[at + 14]) = (0, 0, 0x9C, 0, 0, 0x9C);
        Assert.False(huge.AsSpan().SequenceEqual(Example), "no size was found in the file");
        Assert.Null(await SafePicture.Read(huge, default));
    }

    /// <summary>Files with which its decoder was once broken.</summary>
    [Fact]
    [Source("libheif, fuzzing/data/corpus", at: "every tenth file")]
    public async Task That_once_broke_a_decoder_breaks_nothing_here()
    {
        var files = Directory.GetFiles(Path.Combine(Folder, "broken")).Order(StringComparer.Ordinal).Where((_, i) => i % 10 == 0).ToList();
        Assert.True(files.Count > 10);
        foreach (var file in files)
            if (await HeicPicture.ToJpeg(File.ReadAllBytes(file), default) is { } jpeg)
                Assert.NotNull(SafePicture.From(jpeg));
        Assert.NotNull(await SafePicture.Read(Example, default));
    }

    [Fact]
    public async Task Is_left_at_once_when_nobody_waits_for_it_any_more()
    {
        using var left = new CancellationTokenSource();
        left.Cancel();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => SafePicture.Read(Example, left.Token));
    }
}
