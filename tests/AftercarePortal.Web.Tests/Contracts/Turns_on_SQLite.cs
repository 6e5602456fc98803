using System.Collections.Concurrent;
using System.Data.Common;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Jobs;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>Writers of one SQLite file take turns; a carrier's message goes first, and the rest are not held up for long. However a turn ends, it is given back.</summary>
public sealed class Turns_on_SQLite : IDisposable
{
    private static readonly Guid Clinic = Guid.CreateVersion7();
    private static readonly TimeSpan Long = TimeSpan.FromMinutes(1);
    private readonly ITestDatabase _database = ITestDatabase.Sqlite();

    public void Dispose() => _database.Dispose();

    [Fact]
    public async Task Whoever_writes_waits_until_the_one_before_has_committed()
    {
        await using var one = _database.Open(Clinic);
        await using var other = _database.Open(Clinic);
        await using var all = await one.Database.BeginTransactionAsync();

        other.Add(Patient());
        Task[] writers = [other.SaveChangesAsync(), Deleting()];
        Assert.DoesNotContain(writers, w => w.IsCompleted);                        // SQLite itself would have slept on this thread

        one.Add(Patient());
        await one.SaveChangesAsync();
        Assert.DoesNotContain(writers, w => w.IsCompleted);
        await all.CommitAsync();
        await Task.WhenAll(writers).WaitAsync(Long);
        Assert.Equal(2, await one.Set<PatientRow>().CountAsync());
    }

    [Fact]
    public async Task A_transaction_that_is_taken_back_lets_the_next_one_write()
    {
        await using var one = _database.Open(Clinic);
        await using var all = await one.Database.BeginTransactionAsync();
        var next = Deleting();
        await all.RollbackAsync();
        await next.WaitAsync(Long);
    }

    [Fact]
    public async Task A_transaction_let_go_without_an_end_lets_the_next_one_write_also_while_its_connection_stays_open()
    {
        await using var one = _database.Open(Clinic);
        await one.Database.OpenConnectionAsync();
        Task next;
        await using (await one.Database.BeginTransactionAsync()) next = Deleting();
        await next.WaitAsync(Long);
    }

    [Fact]
    public async Task A_write_that_fails_lets_the_next_one_write()
    {
        await using var db = _database.Open(Clinic);
        db.Enqueue("nothing", "1", default);
        await db.SaveChangesAsync();
        var line = SqliteLine.Of(db.Database.GetDbConnection())!;

        await Assert.ThrowsAsync<SqliteException>(() => db.Jobs.ExecuteUpdateAsync(set => set.SetProperty(j => j.Lane, 3)));
        Assert.True(line.Take(Anybody(), first: false, default).IsCompletedSuccessfully);
    }

    [Fact]
    public async Task A_save_that_fails_lets_the_next_one_write()
    {
        await using var db = _database.Open(Clinic);
        db.Enqueue("nothing", "1", default, lane: 3);
        await Assert.ThrowsAsync<DbUpdateException>(() => db.SaveChangesAsync());
        Assert.True(SqliteLine.Of(db.Database.GetDbConnection())!.Take(Anybody(), first: false, default).IsCompletedSuccessfully);
    }

    [Fact]
    public async Task A_transaction_that_cannot_begin_because_another_process_writes_lets_the_next_one_write()
    {
        await using var elsewhere = new SqliteConnection(_database.Connection);
        await elsewhere.OpenAsync();
        await using var busy = await elsewhere.BeginTransactionAsync();
        await using var db = _database.Open(Clinic);
        await db.Database.OpenConnectionAsync();
        await db.Database.ExecuteSqlRawAsync("PRAGMA busy_timeout=0");
        ((SqliteConnection)db.Database.GetDbConnection()).DefaultTimeout = 1;

        Assert.Equal(5, (await Assert.ThrowsAsync<SqliteException>(() => db.Database.BeginTransactionAsync())).SqliteErrorCode);
        Assert.True(SqliteLine.Of(db.Database.GetDbConnection())!.Take(Anybody(), first: false, default).IsCompletedSuccessfully);
    }

    [Fact]
    public async Task A_message_passes_those_who_wait_longer_and_after_eight_messages_one_of_them_has_its_turn()
    {
        var line = new SqliteLine(Long);
        var (now, order) = (Anybody(), new List<string>());
        await line.Take(now, first: false, default);
        Task[] turns = [Turn("worker", first: false), Turn("worker", first: false), .. Enumerable.Range(0, 20).Select(_ => Turn("message", first: true))];

        line.Leave(now);
        await Task.WhenAll(turns).WaitAsync(Long);
        Assert.Equal(["worker", "worker"], [order[SqliteLine.MostBefore], order[2 * SqliteLine.MostBefore + 1]]);
        Assert.Equal(20, order.Count(o => o == "message"));

        async Task Turn(string who, bool first)
        {
            var mine = Anybody();
            await line.Take(mine, first, default);
            order.Add(who);
            line.Leave(mine);
        }
    }

    [Fact]
    public async Task What_a_carrier_delivered_is_written_before_what_waits_longer_and_only_for_one_unit_of_work()
    {
        await using var now = _database.Open(Clinic);
        await using var worker = _database.Open(Clinic);
        await using var message = _database.Open(Clinic);
        message.In(new());
        var order = new ConcurrentQueue<string>();
        await using var all = await now.Database.BeginTransactionAsync();
        message.GoesFirst = true;
        Task[] writers = [Writes(worker, "worker"), Writes(message, "message")];
        await all.RollbackAsync();
        await Task.WhenAll(writers).WaitAsync(Long);
        Assert.Equal(["message", "worker"], order);
        Assert.False(message.In(new()).GoesFirst);

        async Task Writes(PortalDb db, string who)
        {
            await using var mine = await db.Database.BeginTransactionAsync();
            order.Enqueue(who);
            await mine.RollbackAsync();
        }
    }

    [Fact]
    public async Task Whoever_waits_too_long_asks_SQLite_itself_and_gives_nobodys_turn_away()
    {
        var line = new SqliteLine(TimeSpan.FromMilliseconds(1));
        var (stuck, impatient) = (Anybody(), Anybody());
        await line.Take(stuck, first: false, default);
        await line.Take(impatient, first: false, default).AsTask().WaitAsync(Long);
        line.Leave(impatient);
        var next = line.Take(Anybody(), first: false, default);
        Assert.False(next.IsCompleted, "The turn of the one who is stuck was given away.");
        await next.AsTask().WaitAsync(Long);

        using var hangsUp = new CancellationTokenSource();
        var third = new SqliteLine(Long);
        await third.Take(stuck, first: false, default);
        var waiting = third.Take(impatient, first: false, hangsUp.Token).AsTask();
        await hangsUp.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => waiting);
        third.Leave(stuck);
        Assert.True(third.Take(Anybody(), first: false, default).IsCompletedSuccessfully);
    }

    private async Task Deleting()
    {
        await using var db = _database.Open(Clinic);
        await db.Jobs.ExecuteDeleteAsync();
    }

    private static DbConnection Anybody() => new SqliteConnection();

    private static PatientRow Patient() => new() { Name = "Mira Example", Number = "+12025550111" };
}
