using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>Ids made one after another come back in that order, also those of one millisecond.</summary>
public abstract class Ordered_ids_contract : IDisposable
{
    private readonly ITestDatabase _database;

    private protected Ordered_ids_contract(ITestDatabase database) => _database = database;

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public void Are_version_7_and_rise_also_when_more_are_made_than_one_millisecond_can_count()
    {
        var made = Enumerable.Range(0, 20_000).Select(_ => OrderedId.New()).ToList();
        Assert.All(made, id => Assert.Equal(7, id.Version));
        Assert.All(made.Zip(made.Skip(1)), pair => Assert.True(string.CompareOrdinal(pair.First.ToString(), pair.Second.ToString()) < 0));
        // Ahead of the clock by no more than what did not fit: 4,096 a millisecond.
        Assert.True(MillisecondOf(made[^1]) - DateTimeOffset.UtcNow.ToUnixTimeMilliseconds() <= 20_000 / 4096 + 1);
    }

    [Fact]
    public void Are_all_different_when_many_threads_make_them_and_rise_for_each()
    {
        var made = new Guid[8][];
        Parallel.For(0, made.Length, n => made[n] = [.. Enumerable.Range(0, 5_000).Select(_ => OrderedId.New())]);
        Assert.Equal(40_000, made.SelectMany(ids => ids).Distinct().Count());
        Assert.All(made, ids => Assert.Equal(ids.OrderBy(id => id.ToString(), StringComparer.Ordinal), ids));
    }

    [Fact]
    public async Task Are_put_in_that_order_by_the_database()
    {
        var clinic = Guid.CreateVersion7();
        var made = Enumerable.Range(0, 300).Select(n => new JobRow { ClinicId = clinic, Kind = "told", Subject = $"{n}", DueAt = Instant.FromUnixTimeSeconds(0), Lane = 5 }).ToList();
        await using (var db = _database.Open(clinic))
        {
            db.AddRange(made.OrderBy(j => j.Subject, StringComparer.Ordinal));
            await db.SaveChangesAsync();
        }

        await using var again = _database.Open(clinic);
        Assert.Equal(made.Select(j => j.Subject), await again.Jobs.OrderBy(j => j.Id).Select(j => j.Subject).ToListAsync());
    }

    private static long MillisecondOf(Guid id) => Convert.ToInt64(id.ToString("N")[..12], 16);
}
