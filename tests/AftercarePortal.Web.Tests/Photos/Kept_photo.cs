using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Web.Photos;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Photos;

/// <summary>What lies in the database, and who can open it.</summary>
public sealed class Kept_photo
{
    private static readonly Instant Now = Instant.FromUtc(2026, 11, 24, 23, 40);
    private readonly PhotoStore _store = new(() => [Key(1)]);

    [Fact]
    public void Lies_there_encrypted_and_opens_as_a_picture()
    {
        var row = Kept();
        Assert.Equal(PhotoState.Kept, row.State);
        var picture = _store.Open(row, small: false)!;
        Assert.Equal([0xFF, 0xD8, 0xFF], picture[..3]);
        Assert.False(Contains(row.Sealed!, picture[..64]), "The picture lies in the row as it is.");
        Assert.False(Contains(row.SealedSmall!, _store.Open(row, small: true)![..64]), "The small picture lies in the row as it is.");
    }

    [Fact]
    public void Is_never_encrypted_the_same_way_twice()
    {
        var row = Kept();
        var before = row.Sealed!;
        _store.Keep(row, Drawn.Jpeg(), SafePicture.From(Drawn.Jpeg()), "image/jpeg", Now);
        Assert.NotEqual(before, row.Sealed!);
        Assert.NotEqual(before[1..13], row.Sealed![1..13]);
    }

    [Fact]
    public void Opens_with_a_key_that_only_opens_and_a_new_one_is_encrypted_with_the_first()
    {
        var old = Kept();
        var both = new PhotoStore(() => [Key(2), Key(1)]);
        Assert.NotNull(both.Open(old, small: false));
        both.Keep(old, Drawn.Jpeg(), SafePicture.From(Drawn.Jpeg()), "image/jpeg", Now);
        Assert.NotNull(new PhotoStore(() => [Key(2)]).Open(old, small: false));
        Assert.ThrowsAny<CryptographicException>(() => _store.Open(old, small: false));
    }

    [Fact]
    public void Sealed_before_blobs_named_their_key_still_opens()
    {
        // Version 1: nonce of 12 bytes, tag of 16, ciphertext.
        var (key, blob) = (Key(1), new byte[29 + 3]);
        blob[0] = 1;
        using (var aes = new AesGcm(key, 16)) aes.Encrypt(blob.AsSpan(1, 12), "abc"u8, blob.AsSpan(29), blob.AsSpan(13, 16), "place"u8);
        Assert.Equal("abc"u8.ToArray(), new PhotoSeal([Key(2), key]).Open(blob, "place"));
        Assert.ThrowsAny<CryptographicException>(() => new PhotoSeal([Key(2), Key(3)]).Open(blob, "place"));
        Assert.ThrowsAny<CryptographicException>(() => new PhotoSeal([Key(2), key]).Open(blob, "another"));
    }

    [Fact]
    public void Does_not_open_with_another_key() =>
        Assert.ThrowsAny<CryptographicException>(() => new PhotoStore(() => [Key(2)]).Open(Kept(), small: false));

    [Fact]
    public void Does_not_open_when_one_bit_anywhere_was_changed()
    {
        var row = Kept();
        foreach (var at in new[] { 0, 1, 4, 5, 16, 17, 32, 33, row.Sealed!.Length - 1 })
        {
            row.Sealed[at] ^= 1;
            Assert.ThrowsAny<CryptographicException>(() => _store.Open(row, small: false));
            row.Sealed[at] ^= 1;
        }

        Assert.NotNull(_store.Open(row, small: false));
    }

    [Fact]
    public void Does_not_open_in_the_row_of_another_photo_or_clinic()
    {
        var (mine, other) = (Kept(), Kept());
        other.Sealed = mine.Sealed;
        Assert.ThrowsAny<CryptographicException>(() => _store.Open(other, small: false));
        mine.ClinicId = Guid.CreateVersion7();
        Assert.ThrowsAny<CryptographicException>(() => _store.Open(mine, small: false));
    }

    [Fact]
    public void Does_not_open_cut_short()
    {
        var row = Kept();
        foreach (var length in new[] { 0, 1, 28, 29, row.Sealed!.Length - 1 })
            Assert.ThrowsAny<CryptographicException>(() => _store.Open(new PhotoRow { Id = row.Id, ClinicId = row.ClinicId, MessageId = row.MessageId, Index = 0, State = PhotoState.Kept, Sealed = row.Sealed[..length] }, small: false));
    }

    [Theory]
    [InlineData("\0\0\0\u0018ftypheic and more")]
    [InlineData("%PDF-1.7")]
    [InlineData("")]
    public void That_cannot_be_shown_keeps_what_came_encrypted(string file)
    {
        var row = Waiting();
        _store.Keep(row, Encoding.Latin1.GetBytes(file), SafePicture.From(Encoding.Latin1.GetBytes(file)), "image/heic", Now);
        Assert.Equal((PhotoState.Unreadable, file.Length, Now), (row.State, row.OriginalBytes, row.FetchedAt));
        Assert.Null(_store.Open(row, small: false));
        Assert.Equal(file, Encoding.Latin1.GetString(_store.OpenOriginal(row)!));
        if (file.Length > 0) Assert.False(Contains(row.Sealed!, Encoding.Latin1.GetBytes(file)));
    }

    private PhotoRow Kept()
    {
        var row = Waiting();
        _store.Keep(row, Drawn.JpegWithExif(6), SafePicture.From(Drawn.JpegWithExif(6)), "image/jpeg", Now);
        return row;
    }

    private static PhotoRow Waiting() => new() { ClinicId = Guid.CreateVersion7(), MessageId = Guid.CreateVersion7(), Index = 0 };

    private static byte[] Key(byte of) => [.. Enumerable.Repeat(of, 32)];

    private static bool Contains(byte[] blob, byte[] part) => blob.AsSpan().IndexOf(part) >= 0;
}
