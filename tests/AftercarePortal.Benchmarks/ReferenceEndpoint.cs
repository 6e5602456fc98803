using System.Data.Common;
using AftercarePortal.Testing;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.Data.Sqlite;
using Npgsql;
using Twilio.Security;

namespace AftercarePortal.Benchmarks;

/// <summary>The least that does the same by hand: parse the form, check the HMAC, one durable commit of two rows. What the portal's webhook is compared to.</summary>
internal sealed class ReferenceEndpoint(ITestDatabase database, string publicUrl, string token) : IAsyncDisposable
{
    private readonly WebApplication _app = WebApplication.Create(["--urls=http://127.0.0.1:0", "--Logging:LogLevel:Default=None"]);
    private readonly RequestValidator _validator = new(token);

    public async Task<Uri> Start()
    {
        await using (var open = await Open())
        await using (var make = open.CreateCommand())
        {
            make.CommandText = "CREATE TABLE Kept (Id TEXT PRIMARY KEY, Form TEXT NOT NULL); CREATE TABLE ToDo (Id TEXT PRIMARY KEY, Subject TEXT NOT NULL)";
            await make.ExecuteNonQueryAsync();
        }

        _app.MapPost("/carrier/inbound", async (HttpRequest request) =>
        {
            var form = await request.ReadFormAsync();
            if (!_validator.Validate(publicUrl + request.Path + request.QueryString, form.ToDictionary(f => f.Key, f => f.Value.ToString()), request.Headers["X-Twilio-Signature"].ToString())) return Results.StatusCode(403);
            await using var open = await Open();
            await using var all = await open.BeginTransactionAsync();
            await using var insert = open.CreateCommand();
            insert.Transaction = all;
            insert.CommandText = "INSERT INTO Kept VALUES (@id, @form); INSERT INTO ToDo VALUES (@job, @id)";
            Add(insert, "@id", form["MessageSid"].ToString());
            Add(insert, "@form", QueryHelpers.AddQueryString("", form.ToDictionary(f => f.Key, f => (string?)f.Value.ToString())));
            Add(insert, "@job", Guid.CreateVersion7().ToString());
            await insert.ExecuteNonQueryAsync();
            await all.CommitAsync();
            return Results.Text("<Response/>", "application/xml");
        });
        await _app.StartAsync();
        return new(_app.Urls.Single());
    }

    // SQLite: WAL stands in the file, and FULL is what the library opens with.
    private async Task<DbConnection> Open()
    {
        DbConnection connection = database.Kind == "sqlite" ? new SqliteConnection(database.Connection) : new NpgsqlConnection(database.Connection + ";Max Auto Prepare=10;Auto Prepare Min Usages=2");
        await connection.OpenAsync();
        return connection;
    }

    private static void Add(DbCommand command, string name, string value)
    {
        var parameter = command.CreateParameter();
        (parameter.ParameterName, parameter.Value) = (name, value);
        command.Parameters.Add(parameter);
    }

    public ValueTask DisposeAsync() => _app.DisposeAsync();
}
