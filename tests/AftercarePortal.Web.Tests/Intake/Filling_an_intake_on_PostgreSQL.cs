using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Intake;

public sealed class Filling_an_intake_on_PostgreSQL : Filling_an_intake
{
    private readonly PostgresTestDatabase database;

    public Filling_an_intake_on_PostgreSQL() : this(new PostgresTestDatabase()) { }

    private Filling_an_intake_on_PostgreSQL(PostgresTestDatabase database)
        : base("--Database:Kind=postgres", $"--Database:Connection={database.Connection}", $"--Photos:Key={Convert.ToBase64String(new byte[32])}") => this.database = database;

    public override async Task DisposeAsync()
    {
        await base.DisposeAsync();
        database.Dispose();
    }
}
