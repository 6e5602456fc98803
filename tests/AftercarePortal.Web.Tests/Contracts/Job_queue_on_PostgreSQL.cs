using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Contracts;

public sealed class Job_queue_on_PostgreSQL() : Job_queue_contract(ITestDatabase.Postgres());
