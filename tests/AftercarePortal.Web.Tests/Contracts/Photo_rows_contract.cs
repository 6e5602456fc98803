using AftercarePortal.Testing;
using AftercarePortal.Web.Photos;
using AftercarePortal.Web.Tests.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>What keeps photos whole and single on every database.</summary>
public abstract class Photo_rows_contract : IDisposable
{
    private static readonly Guid Clinic = Guid.CreateVersion7();
    private static readonly Guid Message = Guid.CreateVersion7();
    private readonly PhotoStore _store = new(() => [new byte[32]]);
    private readonly ITestDatabase _database;

    private protected Photo_rows_contract(ITestDatabase database) => _database = database;

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task A_large_photo_comes_back_as_it_was_kept()
    {
        var row = Waiting(0);
        _store.Keep(row, new byte[SafePicture.MostBytes], SafePicture.From(new byte[SafePicture.MostBytes]), "video/mp4", Instant.FromUtc(2026, 11, 24, 23, 40));
        await Add(row);
        await using var db = _database.Open(Clinic);
        Assert.Equal(new byte[SafePicture.MostBytes], _store.OpenOriginal(await db.Photos.SingleAsync()));
    }

    [Fact]
    public async Task One_file_of_a_message_has_one_row()
    {
        await Add(Waiting(0));
        await Add(Waiting(1));
        await Assert.ThrowsAsync<DbUpdateException>(() => Add(Waiting(1)));
    }

    [Fact]
    public async Task Of_two_workers_at_once_one_keeps_it()
    {
        await Add(Waiting(0));
        await using var one = _database.Open(Clinic);
        await using var two = _database.Open(Clinic);
        var (first, second) = (await one.Photos.SingleAsync(), await two.Photos.SingleAsync());
        _store.Keep(first, Drawn.Jpeg(), SafePicture.From(Drawn.Jpeg()), "image/jpeg", Instant.FromUtc(2026, 11, 24, 23, 40));
        await one.SaveChangesAsync();
        second.State = PhotoState.Gone;
        await Assert.ThrowsAsync<DbUpdateConcurrencyException>(() => two.SaveChangesAsync());
    }

    [Fact]
    public async Task A_photo_of_another_clinic_is_not_found()
    {
        await Add(Waiting(0));
        await using var elsewhere = _database.Open(Guid.CreateVersion7());
        Assert.Empty(await elsewhere.Photos.ToListAsync());
    }

    private static PhotoRow Waiting(int index) => new() { ClinicId = Clinic, MessageId = Message, Index = index };

    private async Task Add(PhotoRow row)
    {
        await using var db = _database.Open(Clinic);
        db.Add(row);
        await db.SaveChangesAsync();
    }
}
