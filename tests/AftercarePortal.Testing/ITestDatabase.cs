using AftercarePortal.Web.Data;

namespace AftercarePortal.Testing;

/// <summary>A real, empty database with the portal's tables, for one test; gone when disposed.</summary>
internal interface ITestDatabase : IDisposable
{
    /// <summary>What <c>Database:Kind</c> calls it.</summary>
    string Kind { get; }

    /// <summary>The connection string, for a portal that is to run on it.</summary>
    string Connection { get; }

    /// <summary>Opens a unit of work whose clinic the given scope decides, also later.</summary>
    PortalDb Open(ClinicScope scope);

    /// <summary>Opens a unit of work of one clinic; the empty id is no clinic.</summary>
    PortalDb Open(Guid clinic)
    {
        var scope = new ClinicScope();
        scope.Enter(clinic);
        return Open(scope);
    }

    /// <summary>A temporary SQLite file.</summary>
    static ITestDatabase Sqlite() => new SqliteTestDatabase();

    /// <summary>A database of its own in the PostgreSQL cluster this test run starts for itself.</summary>
    static ITestDatabase Postgres() => new PostgresTestDatabase();
}
