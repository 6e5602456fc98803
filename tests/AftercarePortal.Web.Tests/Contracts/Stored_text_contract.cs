using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>Whatever characters come in, they can be kept on every database.</summary>
public abstract class Stored_text_contract : IDisposable
{
    private static readonly Guid Clinic = Guid.CreateVersion7();
    private readonly ITestDatabase _database;

    private protected Stored_text_contract(ITestDatabase database) => _database = database;

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Theory]
    [InlineData("skin\0white", "skin\uFFFDwhite")]
    [InlineData("\u202Ewhite \uD83D\uDE31 \u0301\u0301", "\u202Ewhite \uD83D\uDE31 \u0301\u0301")]
    [InlineData("\u0007\u001B[31m\r\n", "\u0007\u001B[31m\r\n")]
    public async Task A_message_is_kept_and_a_NUL_stands_as_a_replacement_character(string text, string kept)
    {
        await using (var db = _database.Open(Clinic))
        {
            db.Add(new MessageRow { ClinicId = Clinic, CarrierId = "SM1", From = "+12025550123", To = "+12025550100", Text = text, MediaCount = 0, RawForm = "", ReceivedAt = NodaConstants.UnixEpoch, WrittenAt = NodaConstants.UnixEpoch });
            await db.SaveChangesAsync();
        }

        await using var later = _database.Open(Clinic);
        Assert.Equal(kept, (await later.Messages.SingleAsync()).Text);
    }
}

public sealed class Stored_text_on_SQLite() : Stored_text_contract(ITestDatabase.Sqlite());

public sealed class Stored_text_on_PostgreSQL() : Stored_text_contract(ITestDatabase.Postgres());
