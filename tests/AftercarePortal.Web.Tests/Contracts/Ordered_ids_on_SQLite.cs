using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Contracts;

public sealed class Ordered_ids_on_SQLite() : Ordered_ids_contract(ITestDatabase.Sqlite());
