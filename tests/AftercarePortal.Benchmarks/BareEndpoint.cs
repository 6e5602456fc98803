using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.Data.Sqlite;

namespace AftercarePortal.Benchmarks;

/// <summary>The least that keeps a posted form before it answers: one endpoint, one insert, one durable commit. What the portal's webhook is compared to.</summary>
internal sealed class BareEndpoint : IAsyncDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("aftercare-bare-");
    private readonly WebApplication _app = WebApplication.Create(["--urls=http://127.0.0.1:0", "--Logging:LogLevel:Default=None"]);

    private string Connection => $"Data Source={Path.Combine(_folder.FullName, "bare.db")}";

    public async Task<Uri> Start()
    {
        await using (var open = await Open())
            await Do(open, "CREATE TABLE Kept (Id TEXT PRIMARY KEY, Form TEXT NOT NULL)");
        _app.MapPost("/carrier/inbound", async (HttpRequest request) =>
        {
            var form = await request.ReadFormAsync();
            await using var open = await Open();
            await using var insert = open.CreateCommand();
            insert.CommandText = "INSERT INTO Kept VALUES ($id, $form)";
            insert.Parameters.AddWithValue("$id", form["MessageSid"].ToString());
            insert.Parameters.AddWithValue("$form", QueryHelpers.AddQueryString("", form.ToDictionary(f => f.Key, f => (string?)f.Value.ToString())));
            await insert.ExecuteNonQueryAsync();
            return Results.Ok();
        });
        await _app.StartAsync();
        return new(_app.Urls.Single());
    }

    // The same settings, at every open, as the portal's own.
    private async Task<SqliteConnection> Open()
    {
        var connection = new SqliteConnection(Connection);
        await connection.OpenAsync();
        await Do(connection, "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; PRAGMA busy_timeout=5000;");
        return connection;
    }

    private static async Task Do(SqliteConnection connection, string sql)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await _app.DisposeAsync();
        using (var connection = new SqliteConnection(Connection)) SqliteConnection.ClearPool(connection);
        _folder.Delete(recursive: true);
    }
}
