using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Contracts;

public sealed class Photo_rows_on_PostgreSQL() : Photo_rows_contract(ITestDatabase.Postgres());
