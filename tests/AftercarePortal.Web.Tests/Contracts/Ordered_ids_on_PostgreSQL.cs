using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Contracts;

public sealed class Ordered_ids_on_PostgreSQL() : Ordered_ids_contract(ITestDatabase.Postgres());
