using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Contracts;

public sealed class Clinic_filter_on_SQLite() : Clinic_filter_contract(ITestDatabase.Sqlite());
