using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Contracts;

public sealed class Photo_rows_on_SQLite() : Photo_rows_contract(ITestDatabase.Sqlite());
