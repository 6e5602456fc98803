using System.Security.Cryptography;
using NodaTime;

namespace AftercarePortal.Web.Photos;

/// <summary>Puts a fetched file into its row, and takes a picture out again. Nothing lies in a row unencrypted.</summary>
/// <param name="keys">The first seals, all open.</param>
internal sealed class PhotoStore(Func<IReadOnlyList<byte[]>> keys)
{
    // Opened when first needed: a portal that never meets a photo makes no key.
    private readonly Lazy<PhotoSeal> _seal = new(() => new(keys()), LazyThreadSafetyMode.PublicationOnly);

    /// <summary>Keeps what was fetched: a picture without its metadata, or the file as it came when it is no picture we can show.</summary>
    /// <param name="shown">What <see cref="SafePicture.Read"/> made of the file.</param>
    public void Keep(PhotoRow row, byte[] file, SafePicture? shown, string contentType, Instant now)
    {
        row.ContentType = contentType[..Math.Min(contentType.Length, 100)];
        row.OriginalBytes = file.Length;
        row.FetchedAt = now;
        if (shown is { } picture)
        {
            (row.State, row.Width, row.Height) = (PhotoState.Kept, picture.Width, picture.Height);
            row.Sealed = _seal.Value.Close(picture.Jpeg, Place(row, "picture"));
            row.SealedSmall = _seal.Value.Close(picture.Small, Place(row, "small"));
            return;
        }

        row.State = PhotoState.Unreadable;
        if (file.Length <= SafePicture.MostBytes) row.Sealed = _seal.Value.Close(file, Place(row, "original"));
    }

    /// <summary>The JPEG of a kept photo; null when the row keeps none.</summary>
    /// <exception cref="CryptographicException">The key is another one, or somebody changed the row.</exception>
    public byte[]? Open(PhotoRow row, bool small) =>
        row.State is not PhotoState.Kept ? null
        : small ? _seal.Value.Open(row.SealedSmall, Place(row, "small")) : _seal.Value.Open(row.Sealed, Place(row, "picture"));

    /// <summary>The file as it came, of a photo that could not be shown; null when the row keeps none.</summary>
    /// <exception cref="CryptographicException">The key is another one, or somebody changed the row.</exception>
    public byte[]? OpenOriginal(PhotoRow row) =>
        row is { State: PhotoState.Unreadable, Sealed: { } blob } ? _seal.Value.Open(blob, Place(row, "original")) : null;

    /// <summary>Encrypts a picture that lies in another table; it opens only for the same row.</summary>
    public byte[] Close(byte[] jpeg, Guid row) => Close(jpeg, $"{row}|profile");

    /// <summary>Encrypts a picture that lies in another table; it opens only for the same <paramref name="place"/>.</summary>
    public byte[] Close(byte[] jpeg, string place) => _seal.Value.Close(jpeg, place);

    /// <summary>Decrypts what <see cref="Close(byte[], Guid)"/> encrypted.</summary>
    /// <exception cref="CryptographicException">The key is another one, or somebody changed the row.</exception>
    public byte[] Open(byte[] blob, Guid row) => Open(blob, $"{row}|profile");

    /// <summary>Decrypts what <see cref="Close(byte[], string)"/> encrypted.</summary>
    /// <exception cref="CryptographicException">The key is another one, or somebody changed the row.</exception>
    public byte[] Open(byte[] blob, string place) => _seal.Value.Open(blob, place);

    private static string Place(PhotoRow row, string part) => $"{row.ClinicId}|{row.Id}|{part}";
}
