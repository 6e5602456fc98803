using System.Buffers.Binary;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using NodaTime;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Time-based one-time codes: six digits, 30 seconds, HMAC-SHA-1.</summary>
/// <remarks>Source: RFC 6238 (time steps) and RFC 4226 section 5.3 (digits); key text in Base32, RFC 4648 section 6.</remarks>
internal static class OneTimeCode
{
    private const string Alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";
    private const int StepSeconds = 30;

    /// <summary>A new key: 160 random bits as 32 Base32 letters.</summary>
    public static string NewKey() =>
        string.Concat(RandomNumberGenerator.GetBytes(32).Select(b => Alphabet[b & 31]));

    /// <summary>The time step this instant lies in, counted from the Unix epoch.</summary>
    public static long StepAt(Instant now) => now.ToUnixTimeSeconds() / StepSeconds;

    /// <summary>The six digits of one time step.</summary>
    public static string At(string key, long step)
    {
        Span<byte> counter = stackalloc byte[8];
        BinaryPrimitives.WriteInt64BigEndian(counter, step);
#pragma warning disable CA5350 // RFC 6238's default; authenticator programs know no other with certainty
        var hash = HMACSHA1.HashData(Bytes(key), counter);
#pragma warning restore CA5350
        var number = BinaryPrimitives.ReadUInt32BigEndian(hash.AsSpan(hash[^1] & 15, 4)) & 0x7fff_ffff;
        return (number % 1_000_000).ToString("D6", CultureInfo.InvariantCulture);
    }

    /// <summary>The step a typed code belongs to: this one, the one before or the one after; null when it is none or was used.</summary>
    /// <param name="lastUsed">Step of the last code used; that one and older ones no longer open.</param>
    public static long? StepOf(string key, string? typed, Instant now, long lastUsed)
    {
        var code = Encoding.ASCII.GetBytes((typed ?? "").Replace(" ", ""));
        var current = StepAt(now);
        for (var step = current - 1; step <= current + 1; step++)
            if (step > lastUsed && CryptographicOperations.FixedTimeEquals(Encoding.ASCII.GetBytes(At(key, step)), code)) return step;
        return null;
    }

    private static byte[] Bytes(string key)
    {
        var bytes = new List<byte>();
        int bits = 0, held = 0;
        foreach (var letter in key)
        {
            var value = Alphabet.IndexOf(char.ToUpperInvariant(letter));
            if (value < 0) throw new FormatException("The key is not Base32.");
            held = ((held << 5) | value) & 0xfff;
            bits += 5;
            if (bits < 8) continue;
            bits -= 8;
            bytes.Add((byte)(held >> bits));
        }

        return [.. bytes];
    }
}
