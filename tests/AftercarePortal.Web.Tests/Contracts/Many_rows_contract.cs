using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>Many rows saved at once are what they would be one by one, on every database.</summary>
public abstract class Many_rows_contract : IDisposable
{
    private const int Many = 40;
    private static readonly Guid Clinic = Guid.CreateVersion7();
    private static readonly Instant Now = Instant.FromUtc(2026, 3, 10, 9, 0);
    private readonly ITestDatabase _database;

    private protected Many_rows_contract(ITestDatabase database) => _database = database;

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task New_rows_of_two_tables_come_back_as_they_were_stored_with_what_they_leave_empty()
    {
        await Store("words with an emoji \U0001F642, a quote ' and a NUL \0");
        await using var db = _database.Open(Clinic);
        var texts = await db.Outgoing.OrderBy(o => o.MadeAt).ToListAsync();
        Assert.Equal(Many, texts.Count);
        for (var i = 0; i < Many; i++)
            Assert.Equal(
                (Clinic, $"text:{i}", OutgoingKind.Step, "words with an emoji \U0001F642, a quote ' and a NUL \uFFFD", OutgoingState.Pending, (string?)null, Now + Duration.FromMilliseconds(i), (Instant?)null, (OutgoingAsk?)(i % 2 == 0 ? OutgoingAsk.CheckIn : null)),
                (texts[i].ClinicId, texts[i].Key, texts[i].Kind, texts[i].Text, texts[i].State, texts[i].CarrierId, texts[i].MadeAt, texts[i].FirstTriedAt, texts[i].Asks));
        Assert.Equal(texts.Select(o => o.Id.ToString()).Order(), (await db.Jobs.Select(j => j.Subject).ToListAsync()).Order());
    }

    [Fact]
    public async Task Changed_rows_each_keep_their_own_values_and_what_was_not_changed_stays()
    {
        await Store("words");
        await using (var db = _database.Open(Clinic))
        {
            var texts = await db.Outgoing.OrderBy(o => o.MadeAt).ToListAsync();
            for (var i = 0; i < Many; i++)
            {
                (texts[i].State, texts[i].CarrierId, texts[i].AnsweredAt) = (OutgoingState.Accepted, $"SM{i}", Now + Duration.FromSeconds(i));
                if (i % 3 == 0) (texts[i].State, texts[i].CarrierId, texts[i].RefusedCode) = (OutgoingState.Refused, null, i);
            }

            await db.SaveChangesAsync();
            Assert.All(db.ChangeTracker.Entries(), e => Assert.Equal(EntityState.Unchanged, e.State));
        }

        await using var again = _database.Open(Clinic);
        Assert.Equal(
            Enumerable.Range(0, Many).Select(i => ($"text:{i}", "words", i % 3 == 0 ? OutgoingState.Refused : OutgoingState.Accepted, i % 3 == 0 ? null : $"SM{i}", i % 3 == 0 ? i : (int?)null, (Instant?)(Now + Duration.FromSeconds(i)))),
            (await again.Outgoing.OrderBy(o => o.MadeAt).ToListAsync()).Select(o => (o.Key, o.Text, o.State, o.CarrierId, o.RefusedCode, o.AnsweredAt)));
    }

    [Fact]
    public async Task One_row_that_somebody_else_changed_meanwhile_refuses_them_all()
    {
        await Store("words");
        await using var db = _database.Open(Clinic);
        var texts = await db.Outgoing.ToListAsync();
        await using (var other = _database.Open(Clinic))
            await other.Outgoing.Where(o => o.Key == "text:7").ExecuteUpdateAsync(set => set.SetProperty(o => o.State, OutgoingState.HeldBack));
        texts.ForEach(o => o.State = OutgoingState.Calling);
        await Assert.ThrowsAsync<DbUpdateConcurrencyException>(() => db.SaveChangesAsync());
        await using var again = _database.Open(Clinic);
        Assert.Equal(["text:7"], await again.Outgoing.Where(o => o.State != OutgoingState.Pending).Select(o => o.Key).ToListAsync());
        Assert.Equal(Many, db.ChangeTracker.Entries().Count(e => e.State is EntityState.Modified));
    }

    [Fact]
    public async Task One_row_the_database_refuses_keeps_them_all_out_also_those_of_another_table()
    {
        await Store("words");
        await using var db = _database.Open(Clinic);
        for (var i = Many; i < Many + 20; i++)
        {
            db.Add(Text(i == Many + 9 ? 3 : i, "more"));                          // its key is there already
            db.Enqueue(MessageJobs.Send, $"{i}", Now);
        }

        await Assert.ThrowsAsync<DbUpdateException>(() => db.SaveChangesAsync());
        await using var again = _database.Open(Clinic);
        Assert.Equal((Many, Many), (await again.Outgoing.CountAsync(), await again.Jobs.CountAsync()));
    }

    private async Task Store(string words)
    {
        await using var db = _database.Open(Clinic);
        for (var i = 0; i < Many; i++)
        {
            var text = Text(i, words);
            db.Add(text);
            db.Enqueue(MessageJobs.Send, text.Id.ToString(), Now, lane: 9);
        }

        await db.SaveChangesAsync();
    }

    private static OutgoingRow Text(int i, string words) => new()
    {
        ClinicId = Clinic, Key = $"text:{i}", Kind = OutgoingKind.Step, From = "+12025550100", To = "+12025550123", Text = words, MadeAt = Now + Duration.FromMilliseconds(i), Asks = i % 2 == 0 ? OutgoingAsk.CheckIn : null,
    };
}

public sealed class Many_rows_on_SQLite() : Many_rows_contract(ITestDatabase.Sqlite());

public sealed class Many_rows_on_PostgreSQL() : Many_rows_contract(ITestDatabase.Postgres());
