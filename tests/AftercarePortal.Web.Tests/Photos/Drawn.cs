using System.Buffers.Binary;
using System.IO.Compression;
using System.Text;
using SkiaSharp;

namespace AftercarePortal.Web.Tests.Photos;

/// <summary>Pictures made here: nobody's face.</summary>
internal static class Drawn
{
    /// <summary>The four corners of an upright picture, clockwise from the top left, in colours that survive JPEG.</summary>
    public static readonly SKColor[] Corners = [SKColors.Red, SKColors.Lime, SKColors.Blue, SKColors.White];

    /// <summary>A JPEG of four coloured quarters.</summary>
    public static byte[] Jpeg(int width = 120, int height = 80) => Encoded(width, height, SKEncodedImageFormat.Jpeg);

    /// <summary>A JPEG of one grey.</summary>
    public static byte[] Flat(int width, int height, byte grey)
    {
        using var bitmap = new SKBitmap(width, height);
        bitmap.Erase(new SKColor(grey, grey, grey));
        using var data = bitmap.Encode(SKEncodedImageFormat.Jpeg, 95);
        return data.ToArray();
    }

    public static byte[] Png(int width = 120, int height = 80) => Encoded(width, height, SKEncodedImageFormat.Png);

    /// <summary>The same with an Exif block that names a camera, a position and how the picture lies.</summary>
    public static byte[] JpegWithExif(byte orientation, int width = 120, int height = 80)
    {
        var jpeg = Jpeg(width, height);
        byte[] exif = [.. "Exif\0\0"u8, .. Tiff(orientation)];
        byte[] length = [(byte)((exif.Length + 2) >> 8), (byte)(exif.Length + 2)];
        return [.. jpeg[..2], 0xFF, 0xE1, .. length, .. exif, .. jpeg[2..]];
    }

    /// <summary>A PNG of a few kilobytes that claims, and unpacks to, <paramref name="side"/> squared pixels.</summary>
    public static byte[] PngBomb(int side)
    {
        using var packed = new MemoryStream();
        using (var zlib = new ZLibStream(packed, CompressionLevel.SmallestSize, leaveOpen: true))
            for (var row = 0; row < side; row++) zlib.Write(new byte[1 + side / 8]);
        var header = new byte[13];
        BinaryPrimitives.WriteInt32BigEndian(header, side);
        BinaryPrimitives.WriteInt32BigEndian(header.AsSpan(4), side);
        header[8] = 1;                                                              // one bit a pixel, greyscale
        return [0x89, .. "PNG\r\n\u001a\n"u8, .. Chunk("IHDR", header), .. Chunk("IDAT", packed.ToArray()), .. Chunk("IEND", [])];
    }

    /// <summary>Colours in the middle of the four quarters, clockwise from the top left.</summary>
    public static SKColor[] CornersOf(byte[] picture)
    {
        using var bitmap = SKBitmap.Decode(picture);
        var (x, y) = (bitmap.Width / 4, bitmap.Height / 4);
        return [bitmap.GetPixel(x, y), bitmap.GetPixel(3 * x, y), bitmap.GetPixel(3 * x, 3 * y), bitmap.GetPixel(x, 3 * y)];
    }

    private static byte[] Encoded(int width, int height, SKEncodedImageFormat format)
    {
        using var bitmap = new SKBitmap(width, height);
        using var canvas = new SKCanvas(bitmap);
        SKPoint[] at = [new(0, 0), new(width / 2f, 0), new(width / 2f, height / 2f), new(0, height / 2f)];
        for (var i = 0; i < 4; i++)
        {
            using var paint = new SKPaint { Color = Corners[i] };
            canvas.DrawRect(at[i].X, at[i].Y, width / 2f, height / 2f, paint);
        }

        using var data = bitmap.Encode(format, 95);
        return data.ToArray();
    }

    // Big-endian TIFF: make, orientation, and a GPS directory with a latitude of 51° 28' 40" N.
    private static byte[] Tiff(byte orientation)
    {
        using var tiff = new MemoryStream();
        tiff.Write("MM\0*\0\0\0\u0008"u8);
        Short(3);
        Entry(0x010F, 2, 10, 50);
        Entry(0x0112, 3, 1, orientation << 16);
        Entry(0x8825, 4, 1, 60);
        Long(0);
        tiff.Write("TestPhone\0"u8);                                                 // at 50
        Short(2);                                                                    // at 60
        Entry(0x0001, 2, 2, 'N' << 24);
        Entry(0x0002, 5, 3, 90);
        Long(0);
        foreach (var number in new[] { 51, 1, 28, 1, 40, 1 }) Long(number);          // at 90
        return tiff.ToArray();

        void Short(int value) => tiff.Write([(byte)(value >> 8), (byte)value]);
        void Long(int value) => tiff.Write([(byte)(value >> 24), (byte)(value >> 16), (byte)(value >> 8), (byte)value]);
        void Entry(int tag, int type, int count, int value)
        {
            Short(tag);
            Short(type);
            Long(count);
            Long(value);
        }
    }

    private static byte[] Chunk(string name, byte[] data)
    {
        byte[] named = [.. Encoding.ASCII.GetBytes(name), .. data];
        var (length, check) = (new byte[4], new byte[4]);
        BinaryPrimitives.WriteInt32BigEndian(length, data.Length);
        BinaryPrimitives.WriteUInt32BigEndian(check, Crc(named));
        return [.. length, .. named, .. check];
    }

    private static uint Crc(byte[] bytes)
    {
        var crc = 0xFFFFFFFFu;
        foreach (var b in bytes)
        {
            crc ^= b;
            for (var bit = 0; bit < 8; bit++) crc = (crc & 1) == 1 ? crc >> 1 ^ 0xEDB88320u : crc >> 1;
        }

        return ~crc;
    }
}
