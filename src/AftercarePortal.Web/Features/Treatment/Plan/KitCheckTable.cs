using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>That somebody found the emergency kit there and in date before a treatment of this patient. Only added.</summary>
internal sealed class KitCheckRow : IClinicRow
{
    /// <summary>Id the form was given when it was opened: sent twice, it is kept once.</summary>
    public required Guid Id { get; init; }
    public Guid ClinicId { get; init; }
    public required Guid PatientId { get; init; }
    /// <summary>The clinic's local date; it counts for that day only.</summary>
    public required LocalDate On { get; init; }
    /// <summary>Full name of who looked.</summary>
    public required string CheckedBy { get; init; }
    public required Instant CheckedAt { get; init; }
    /// <summary>Version of the list, for example <c>lower-face-safety.v1</c>.</summary>
    public required string Rules { get; init; }
    /// <summary>What was looked at, with its expiry where it has one: id of the list → ISO date or empty, as JSON.</summary>
    public required string Found { get; init; }
}

/// <summary>The table of checks of the emergency kit.</summary>
internal static class KitCheckTable
{
    extension(PortalDb db)
    {
        public DbSet<KitCheckRow> KitChecks => db.Set<KitCheckRow>();

        /// <summary>The latest check for this patient on a day, or null.</summary>
        public Task<KitCheckRow?> KitCheckOf(Guid patientId, LocalDate day, CancellationToken stop) =>
            db.KitChecks.AsNoTracking().Where(k => k.PatientId == patientId && k.On == day).OrderByDescending(k => k.CheckedAt).FirstOrDefaultAsync(stop);
    }

    /// <summary>How they are stored: a patient with a check cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<KitCheckRow>
    {
        public void Configure(EntityTypeBuilder<KitCheckRow> check)
        {
            check.ToTable("KitChecks");
            check.Property(k => k.Id).ValueGeneratedNever();
            check.Property(k => k.CheckedBy).HasMaxLength(200);
            check.Property(k => k.Rules).HasMaxLength(80);
            check.HasOne<PatientRow>().WithMany().HasForeignKey(k => k.PatientId).OnDelete(DeleteBehavior.Restrict);
            check.HasIndex(k => new { k.ClinicId, k.PatientId, k.On });
        }
    }
}
