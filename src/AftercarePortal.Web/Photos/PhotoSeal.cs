using System.Security.Cryptography;
using System.Text;

namespace AftercarePortal.Web.Photos;

/// <summary>AES-256-GCM over one blob: version 2, 4 bytes that name the key, nonce of 12 bytes, tag of 16 bytes, ciphertext. The nonce is fresh for every seal.</summary>
/// <remarks>Version 1 had no name of the key; such a blob is tried with each.</remarks>
/// <param name="keys">32 bytes each; the first seals, all open.</param>
internal sealed class PhotoSeal(IReadOnlyList<byte[]> keys)
{
    private const byte Version = 2, VersionWithoutName = 1;
    private const int NameBytes = 4, NonceBytes = 12, TagBytes = 16;

    /// <summary>Encrypts. The blob opens only for the same <paramref name="place"/>: moved to another row it is worthless.</summary>
    public byte[] Close(ReadOnlySpan<byte> plain, string place)
    {
        var blob = new byte[1 + NameBytes + NonceBytes + TagBytes + plain.Length];
        blob[0] = Version;
        NameOf(keys[0]).CopyTo(blob.AsSpan(1));
        var rest = blob.AsSpan(1 + NameBytes);
        RandomNumberGenerator.Fill(rest[..NonceBytes]);
        using var aes = new AesGcm(keys[0], TagBytes);
        aes.Encrypt(rest[..NonceBytes], plain, rest[(NonceBytes + TagBytes)..], rest[NonceBytes..(NonceBytes + TagBytes)], Encoding.UTF8.GetBytes(place));
        return blob;
    }

    /// <summary>Decrypts.</summary>
    /// <exception cref="CryptographicException">None of the keys, another place, or changed by somebody.</exception>
    public byte[] Open(ReadOnlySpan<byte> blob, string place)
    {
        if (blob.Length > 0 && blob[0] == VersionWithoutName)
        {
            foreach (var key in keys)
                if (Decrypt(key, blob[1..], place, last: key == keys[^1]) is { } plain) return plain;
        }
        else if (blob.Length > 1 + NameBytes && blob[0] == Version)
        {
            foreach (var key in keys)
                if (blob[1..(1 + NameBytes)].SequenceEqual(NameOf(key))) return Decrypt(key, blob[(1 + NameBytes)..], place, last: true)!;
        }

        throw new CryptographicException("This is no sealed photo, or one of a key that is not here.");
    }

    // Null: it was another key's, and there are more to try.
    private static byte[]? Decrypt(byte[] key, ReadOnlySpan<byte> rest, string place, bool last)
    {
        if (rest.Length < NonceBytes + TagBytes) throw new CryptographicException("This is no sealed photo.");
        var plain = new byte[rest.Length - NonceBytes - TagBytes];
        using var aes = new AesGcm(key, TagBytes);
        try
        {
            aes.Decrypt(rest[..NonceBytes], rest[(NonceBytes + TagBytes)..], rest[NonceBytes..(NonceBytes + TagBytes)], plain, Encoding.UTF8.GetBytes(place));
            return plain;
        }
        catch (AuthenticationTagMismatchException) when (!last)
        {
            return null;
        }
    }

    private static ReadOnlySpan<byte> NameOf(byte[] key) => SHA256.HashData(key).AsSpan(0, NameBytes);
}
