using System.Text;
using AftercarePortal.Testing;
using AftercarePortal.Web.Photos;
using SkiaSharp;
using Xunit;

namespace AftercarePortal.Web.Tests.Photos;

/// <summary>What becomes of a stranger's file.</summary>
public sealed class Safe_picture
{
    private static readonly string Images = Path.Combine(OpenData.Folder, "images");

    [Fact]
    [Source("exiftool 12.57, run on portrait_6_with_gps.jpg", at: "expected_exiftool.json: Make, Artist, SerialNumber, GPSLatitude 51.4779; EXIF, IPTC and XMP")]
    public void Has_no_position_no_name_and_no_serial_number()
    {
        var file = File.ReadAllBytes(Path.Combine(Images, "gps", "portrait_6_with_gps.jpg"));
        Assert.NotEmpty(TracesIn(file));
        Assert.NotEmpty(SegmentsOf(file).Intersect(Telling));
        var picture = SafePicture.From(file)!;
        Assert.All([picture.Jpeg, picture.Small], made =>
        {
            Assert.Empty(TracesIn(made));
            Assert.Empty(SegmentsOf(made).Intersect(Telling));
        });
        Assert.Equal((1200, 1800), (picture.Width, picture.Height));
    }

    [Theory]
    [InlineData(0, 0, 1, 2, 3)]
    [InlineData(1, 0, 1, 2, 3)]
    [InlineData(2, 1, 0, 3, 2)]
    [InlineData(3, 2, 3, 0, 1)]
    [InlineData(4, 3, 2, 1, 0)]
    [InlineData(5, 0, 3, 2, 1)]
    [InlineData(6, 3, 0, 1, 2)]
    [InlineData(7, 2, 1, 0, 3)]
    [InlineData(8, 1, 2, 3, 0)]
    [Source("Exif 2.32, tag 0x0112 Orientation", at: "where row 0 and column 0 of the stored picture lie, worked out for the four corners by hand")]
    public void Lies_as_the_phone_was_held(byte orientation, int topLeft, int topRight, int bottomRight, int bottomLeft)
    {
        var picture = SafePicture.From(Drawn.JpegWithExif(orientation))!;
        int[] expected = [topLeft, topRight, bottomRight, bottomLeft];
        Assert.Equal(expected, Drawn.CornersOf(picture.Jpeg).Select(Nearest));
        Assert.Equal(expected, Drawn.CornersOf(picture.Small).Select(Nearest));
        Assert.Equal(orientation >= 5 ? (80, 120) : (120, 80), (picture.Width, picture.Height));
    }

    [Fact]
    [Source("recurser/exif-orientation-examples, sizes read by exiftool 12.57", at: "orientation/expected.tsv, upright_width and upright_height")]
    public void Of_every_orientation_a_phone_writes_shows_the_same_portrait()
    {
        var lines = File.ReadAllLines(Path.Combine(Images, "orientation", "expected.tsv")).Skip(1).Select(l => l.Split('\t')).ToList();
        Assert.Equal(9, lines.Count);
        var upright = SafePicture.From(File.ReadAllBytes(Path.Combine(Images, "orientation", "Portrait_1.jpg")))!;
        Assert.True(MeanDifference(upright.Small, upright.Small, upsideDown: true) > 40, "The measure does not tell upright from upside down.");
        Assert.All(lines, line =>
        {
            var picture = SafePicture.From(File.ReadAllBytes(Path.Combine(Images, "orientation", line[0])))!;
            Assert.Equal((int.Parse(line[4]), int.Parse(line[5])), (picture.Width, picture.Height));
            Assert.InRange(MeanDifference(upright.Small, picture.Small), 0, 20);
        });
    }

    [Fact]
    [Source("PngSuite, W. van Schaik", at: "176 files; those whose names begin with x are broken on purpose")]
    public void Is_made_of_every_proper_PNG_and_of_no_broken_one()
    {
        var files = Directory.GetFiles(Path.Combine(Images, "pngsuite"), "*.png");
        Assert.Equal(176, files.Length);
        var wrong = files.Where(f => SafePicture.From(File.ReadAllBytes(f)) is null != Path.GetFileName(f).StartsWith('x')).Select(Path.GetFileName);
        Assert.Empty(wrong);
    }

    [Fact]
    [Source("strukturag/libheif, fuzz files; ianare/exif-samples, jpg/invalid", at: "heic/broken, 131 files; broken-jpeg, 7 files")]
    public void Is_never_made_by_breaking_down()
    {
        var files = Directory.GetFiles(Path.Combine(Images, "heic", "broken")).Concat(Directory.GetFiles(Path.Combine(Images, "broken-jpeg"))).ToList();
        Assert.True(files.Count >= 138);
        foreach (var file in files) SafePicture.From(File.ReadAllBytes(file));
    }

    [Fact]
    public void Is_not_made_of_a_file_that_ends_too_early()
    {
        foreach (var whole in new[] { Drawn.Jpeg(), Drawn.Png() })
        {
            Assert.NotNull(SafePicture.From(whole));
            for (var tenths = 0; tenths < 10; tenths++) Assert.Null(SafePicture.From(whole[..(whole.Length * tenths / 10)]));
        }
    }

    [Fact]
    public void Is_not_made_of_a_small_file_that_unpacks_to_a_huge_picture()
    {
        Assert.NotNull(SafePicture.From(Drawn.PngBomb(4_000)));
        using var plain = new SKBitmap(new SKImageInfo(9_000, 9_000, SKColorType.Gray8));
        using var packed = plain.Encode(SKEncodedImageFormat.Jpeg, 50);
        Assert.InRange(packed.Size, 1, SafePicture.MostBytes);
        Assert.Null(SafePicture.From(packed.ToArray()));
        var bomb = Drawn.PngBomb(20_000);
        Assert.InRange(bomb.Length, 1, 100_000);
        Assert.Null(SafePicture.From(bomb));
    }

    [Fact]
    public void Of_a_huge_JPEG_is_unpacked_small_or_not_at_all()
    {
        var file = Drawn.Jpeg();
        Assert.Null(SafePicture.From(Claiming(file, 65_500, 65_500)));
    }

    [Fact]
    [Source("ITU-T T.81 (JPEG)", at: "table B.1: SOF0 is baseline, SOF2 progressive")]
    public void Of_a_progressive_JPEG_is_made_up_to_fewer_pixels_than_of_a_plain_one()
    {
        static byte[] Written(uint side, bool progressive)
        {
            using var image = new ImageMagick.MagickImage(ImageMagick.MagickColors.Gray, side, side);
            image.Settings.Interlace = progressive ? ImageMagick.Interlace.Jpeg : ImageMagick.Interlace.NoInterlace;
            return image.ToByteArray(ImageMagick.MagickFormat.Jpeg);
        }

        Assert.NotNull(SafePicture.From(Written(64, progressive: true)));
        Assert.NotNull(SafePicture.From(Written(5_600, progressive: false)));
        Assert.Null(SafePicture.From(Written(5_600, progressive: true)));
    }

    [Fact]
    public void Of_a_large_photo_is_made_smaller_and_keeps_its_shape()
    {
        var picture = SafePicture.From(Drawn.Jpeg(8_000, 6_000))!;
        Assert.Equal((2560, 1920), (picture.Width, picture.Height));
        using var small = SKBitmap.Decode(picture.Small);
        Assert.Equal((320, 240), (small.Width, small.Height));
    }

    [Theory]
    [InlineData("")]
    [InlineData("%PDF-1.7 and more")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg'/>")]
    [InlineData("\0\0\0\u0018ftypheic and more")]
    [InlineData("GIF89a")]
    public void Is_not_made_of_something_else(string file) => Assert.Null(SafePicture.From(Encoding.Latin1.GetBytes(file)));

    private static readonly byte[] Telling = [0xE1, 0xED, 0xFE];      // APP1 (Exif, XMP), APP13 (IPTC), comment

    private static List<string> TracesIn(byte[] file)
    {
        var text = Encoding.Latin1.GetString(file);
        return [.. new[] { "Exif\0", "TestPhone", "Test Person", "http://ns.adobe.com/xap", "Photoshop 3.0" }.Where(t => text.Contains(t, StringComparison.Ordinal))];
    }

    private static List<byte> SegmentsOf(byte[] jpeg)
    {
        var found = new List<byte>();
        for (var at = 2; jpeg[at + 1] != 0xDA; at += 2 + (jpeg[at + 2] << 8 | jpeg[at + 3])) found.Add(jpeg[at + 1]);
        return found;
    }

    // The frame header (SOF0) says the size: marker, length, precision, height, width.
    private static byte[] Claiming(byte[] jpeg, int width, int height)
    {
        var made = jpeg.ToArray();
        var at = 2;
        while (made[at + 1] is not (0xC0 or 0xC1 or 0xC2)) at += 2 + (made[at + 2] << 8 | made[at + 3]);
        (made[at + 5], made[at + 6], made[at + 7], made[at + 8]) = ((byte)(height >> 8), (byte)height, (byte)(width >> 8), (byte)width);
        return made;
    }

    private static int Nearest(SKColor seen) =>
        Enumerable.Range(0, 4).MinBy(i => Math.Abs(seen.Red - Drawn.Corners[i].Red) + Math.Abs(seen.Green - Drawn.Corners[i].Green) + Math.Abs(seen.Blue - Drawn.Corners[i].Blue));

    private static double MeanDifference(byte[] one, byte[] other, bool upsideDown = false)
    {
        using var a = SKBitmap.Decode(one);
        using var b = SKBitmap.Decode(other);
        return a.Pixels.Zip(upsideDown ? b.Pixels.Reverse() : b.Pixels, (p, q) => (Math.Abs(p.Red - q.Red) + Math.Abs(p.Green - q.Green) + Math.Abs(p.Blue - q.Blue)) / 3.0).Average();
    }
}
