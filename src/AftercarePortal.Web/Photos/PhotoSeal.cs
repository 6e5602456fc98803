using System.Security.Cryptography;
using System.Text;

namespace AftercarePortal.Web.Photos;

/// <summary>AES-256-GCM over one blob: version 1, nonce of 12 bytes, tag of 16 bytes, ciphertext. The nonce is fresh for every seal.</summary>
/// <param name="key">32 bytes.</param>
internal sealed class PhotoSeal(byte[] key)
{
    private const byte Version = 1;
    private const int NonceAt = 1, TagAt = 13, TextAt = 29;

    /// <summary>Encrypts. The blob opens only for the same <paramref name="place"/>: moved to another row it is worthless.</summary>
    public byte[] Close(ReadOnlySpan<byte> plain, string place)
    {
        var blob = new byte[TextAt + plain.Length];
        blob[0] = Version;
        var span = blob.AsSpan();
        RandomNumberGenerator.Fill(span[NonceAt..TagAt]);
        using var aes = new AesGcm(key, TextAt - TagAt);
        aes.Encrypt(span[NonceAt..TagAt], plain, span[TextAt..], span[TagAt..TextAt], Encoding.UTF8.GetBytes(place));
        return blob;
    }

    /// <summary>Decrypts.</summary>
    /// <exception cref="CryptographicException">Another key, another place, or changed by somebody.</exception>
    public byte[] Open(ReadOnlySpan<byte> blob, string place)
    {
        if (blob.Length < TextAt || blob[0] != Version) throw new CryptographicException("This is no sealed photo.");
        var plain = new byte[blob.Length - TextAt];
        using var aes = new AesGcm(key, TextAt - TagAt);
        aes.Decrypt(blob[NonceAt..TagAt], blob[TextAt..], blob[TagAt..TextAt], plain, Encoding.UTF8.GetBytes(place));
        return plain;
    }
}
