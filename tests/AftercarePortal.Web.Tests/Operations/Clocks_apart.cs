using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Operations;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Operations;

/// <summary>The portal's machine and a PostgreSQL server whose clock is this one's.</summary>
public sealed class Clocks_apart
{
    [Theory]
    [InlineData(0, false)]
    [InlineData(4, true)]
    [InlineData(-4, true)]
    public async Task Are_told_by_their_difference_whichever_is_ahead(int ahead, bool warned)
    {
        using var database = ITestDatabase.Postgres();
        await using var db = database.Open(Guid.CreateVersion7());
        var apart = await db.ClocksApart(new FakeTimeProvider(DateTimeOffset.UtcNow.AddSeconds(ahead)), default);
        Assert.Equal(warned, apart > ClockWatch.MostApart);
        Assert.InRange(apart, Duration.Zero, Duration.FromSeconds(60));
    }

    [Fact]
    public async Task Of_a_database_in_this_process_are_one()
    {
        using var database = ITestDatabase.Sqlite();
        await using var db = database.Open(Guid.CreateVersion7());
        Assert.Equal(Duration.Zero, await db.ClocksApart(new FakeTimeProvider(DateTimeOffset.UnixEpoch), default));
    }
}
