using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.ChangeTracking;
using NodaTime;

namespace AftercarePortal.Web.Data;

/// <summary>The portal's database. It knows no row type: each feature's …Table.cs maps its own rows.</summary>
/// <remarks>Rows of a clinic are filtered by <see cref="ClinicScope"/>; without a clinic nothing is seen.</remarks>
internal abstract class PortalDb(DbContextOptions options) : DbContext(options)
{
    private ClinicScope _scope = new();

    /// <summary>The clinic this unit of work belongs to; the empty id sees nothing.</summary>
    public Guid ClinicId => _scope.ClinicId;

    /// <summary>Whether what it writes goes before what others wait to write: so a message is kept while workers are busy. Said by whoever has one, for one unit of work. Heeded on SQLite.</summary>
    public bool GoesFirst { get; set; }

    /// <summary>Begins a unit of work whose clinic the given scope decides, also later. Contexts are used again and again.</summary>
    public PortalDb In(ClinicScope scope)
    {
        _scope = scope;
        GoesFirst = false;
        return this;
    }

    protected override void OnModelCreating(ModelBuilder model)
    {
        model.ApplyConfigurationsFromAssembly(typeof(PortalDb).Assembly);
        foreach (var type in model.Model.GetEntityTypes().Where(t => typeof(IClinicRow).IsAssignableFrom(t.ClrType)).ToList())
            GetType().GetMethod(nameof(KeepInsideClinic), System.Reflection.BindingFlags.NonPublic | System.Reflection.BindingFlags.Instance | System.Reflection.BindingFlags.FlattenHierarchy)!
                .MakeGenericMethod(type.ClrType).Invoke(this, [model]);
    }

    protected void KeepInsideClinic<TRow>(ModelBuilder model) where TRow : class, IClinicRow =>
        model.Entity<TRow>().HasQueryFilter(row => row.ClinicId == ClinicId);

    protected override void ConfigureConventions(ModelConfigurationBuilder conventions)
    {
        conventions.Properties<Instant>().HaveConversion<InstantAsMilliseconds>();
        conventions.Properties<LocalDate>().HaveConversion<LocalDateAsIso>();
        conventions.Properties<LocalTime>().HaveConversion<LocalTimeAsIso>();
        conventions.Properties<Enum>().HaveConversion<string>();
    }

    public override int SaveChanges(bool acceptAllChangesOnSuccess) => throw new NotSupportedException("Save asynchronously.");

    public override async Task<int> SaveChangesAsync(bool acceptAllChangesOnSuccess, CancellationToken stop = default)
    {
        var changed = ChangeTracker.Entries().Where(e => e.State is not (EntityState.Unchanged or EntityState.Detached)).ToList();
        foreach (var entry in changed.Where(e => e is { State: EntityState.Added, Entity: IClinicRow row } && row.ClinicId == Guid.Empty))
            entry.Property(nameof(IClinicRow.ClinicId)).CurrentValue = ClinicId;
        foreach (var property in changed.Where(e => e.State is EntityState.Added or EntityState.Modified).SelectMany(e => e.Properties))
            if (property.CurrentValue is string text && text.Contains('\0', StringComparison.Ordinal)) property.CurrentValue = text.WithoutNul();
        var looks = ChangeTracker.AutoDetectChangesEnabled;
        ChangeTracker.AutoDetectChangesEnabled = false;                         // they were looked for above
        try
        {
            return await Save(changed, acceptAllChangesOnSuccess, stop);
        }
        finally
        {
            ChangeTracker.AutoDetectChangesEnabled = looks;
        }
    }

    /// <summary>Saves what changed: all of it or none.</summary>
    protected virtual Task<int> Save(IReadOnlyList<EntityEntry> changed, bool acceptAllChangesOnSuccess, CancellationToken stop) => base.SaveChangesAsync(acceptAllChangesOnSuccess, stop);
}

internal sealed class SqlitePortalDb(DbContextOptions<SqlitePortalDb> options) : PortalDb(options)
{
    internal SqlitePortalDb(DbContextOptions<SqlitePortalDb> options, ClinicScope scope) : this(options) => In(scope);

    /// <summary>Opened on a file the way the portal opens its own: durable, and with turns for those who write.</summary>
    public static void On(string connection, DbContextOptionsBuilder options) =>
        SqliteTurns.AddTo(options.UseSqlite(connection).AddInterceptors(new SqliteDurability()));
}

internal sealed class PostgresPortalDb(DbContextOptions<PostgresPortalDb> options) : PortalDb(options)
{
    private const int OneRoundTrip = 100;

    internal PostgresPortalDb(DbContextOptions<PostgresPortalDb> options, ClinicScope scope) : this(options) => In(scope);

    /// <summary>Opened on a server the way the portal opens its own.</summary>
    public static void On(string connection, DbContextOptionsBuilder options) => options.UseNpgsql(connection).AddInterceptors(new NulInParameters(), new PassOverHeld());

    /// <summary>Many rows of a few tables are one statement for each table. Fewer new rows go to the server in one round trip, without BEGIN and COMMIT of their own.</summary>
    /// <remarks>Statements of one batch up to its Sync are one transaction: all of them or none. Source: PostgreSQL documentation, 55.2.3 Extended Query and 55.2.4 Pipelining;
    /// Npgsql documentation, Batching. A changed row may turn out to be somebody else's only after its statement ran, so those keep their transaction.</remarks>
    protected override async Task<int> Save(IReadOnlyList<EntityEntry> changed, bool acceptAllChangesOnSuccess, CancellationToken stop)
    {
        if (Database.CurrentTransaction is null && PostgresSets.CanHold(changed))
        {
            await PostgresSets.Write(this, changed, stop);
            if (acceptAllChangesOnSuccess) ChangeTracker.AcceptAllChanges();
            return changed.Count;
        }

        var usual = Database.AutoTransactionBehavior;
        if (changed.Count <= OneRoundTrip && changed.All(e => e.State is EntityState.Added)) Database.AutoTransactionBehavior = AutoTransactionBehavior.Never;
        try
        {
            return await base.Save(changed, acceptAllChangesOnSuccess, stop);
        }
        finally
        {
            Database.AutoTransactionBehavior = usual;
        }
    }
}

internal sealed class SqlServerPortalDb(DbContextOptions<SqlServerPortalDb> options) : PortalDb(options)
{
    internal SqlServerPortalDb(DbContextOptions<SqlServerPortalDb> options, ClinicScope scope) : this(options) => In(scope);

    // A uniqueidentifier is put in order by its last six bytes first, which are random: jobs due in one millisecond would be claimed in any order.
    protected override void ConfigureConventions(ModelConfigurationBuilder conventions)
    {
        base.ConfigureConventions(conventions);
        conventions.Properties<Guid>().HaveConversion<GuidAsBytes>().HaveColumnType("binary(16)");
    }
}
