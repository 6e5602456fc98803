using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>One version of what is planned for a patient. Only added: the latest counts, earlier ones stay.</summary>
internal sealed class TreatmentPlanRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    public required Guid PatientId { get; init; }
    /// <summary>Version of the patient's plan, from 1; unique with the patient, so of two people who save at once one is told.</summary>
    public required int Number { get; init; }
    /// <summary>What goes with it, in the clinician's words; empty: nothing.</summary>
    public required string Adjuncts { get; init; }
    /// <summary>For the clinic; never shown to the patient.</summary>
    public required string Note { get; init; }
    /// <summary>Full name of who saved it.</summary>
    public required string SavedBy { get; init; }
    public required Instant SavedAt { get; init; }
    /// <summary>At least one; their order is <see cref="PlanLineRow.Ordinal"/>.</summary>
    public List<PlanLineRow> Lines { get; init; } = [];
}

/// <summary>What is expected to go where.</summary>
internal sealed class PlanLineRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    public Guid PlanId { get; init; }
    /// <summary>Place in the plan, from 1.</summary>
    public required int Ordinal { get; init; }
    public required Region Region { get; init; }
    /// <summary>The patient's own side.</summary>
    public required Side Side { get; init; }
    public required ProductClass ProductClass { get; init; }
    /// <summary>Hundredths of a millilitre; of a unit for botulinum toxin type A.</summary>
    public required int Hundredths { get; init; }
    /// <summary>Needle or cannula as written; empty: left open.</summary>
    public required string Device { get; init; }

    /// <summary>The same to the core; mL, or units for botulinum toxin type A.</summary>
    public Deposit Deposit => new(Region, Side, ProductClass, Hundredths / 100m);
}

/// <summary>One version of a plan as the patient accepted it on the clinic's screen. It is no consent.</summary>
internal sealed class PlanAcceptanceRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    /// <summary>The version that was accepted; unique, so it is accepted once.</summary>
    public required Guid PlanId { get; init; }
    public required Guid PatientId { get; init; }
    /// <summary>The patient's name as typed.</summary>
    public required string SignedAs { get; init; }
    /// <summary>Who handed the screen over.</summary>
    public required string HandedOverBy { get; init; }
    public required Instant AcceptedAt { get; init; }
    /// <summary>The price range that stood on the screen; null: none was stored.</summary>
    public Guid? QuoteId { get; init; }
    /// <summary>Language it was read in.</summary>
    public required string Language { get; init; }
    /// <summary>What was read, byte for byte.</summary>
    public required byte[] Bytes { get; init; }
    /// <summary>SHA-256 of <see cref="Bytes"/>.</summary>
    public required string Hash { get; init; }
}

/// <summary>The tables of plans and of what patients accepted.</summary>
internal static class PlanTable
{
    extension(PortalDb db)
    {
        public DbSet<TreatmentPlanRow> Plans => db.Set<TreatmentPlanRow>();
        public DbSet<PlanLineRow> PlanLines => db.Set<PlanLineRow>();
        public DbSet<PlanAcceptanceRow> PlanAcceptances => db.Set<PlanAcceptanceRow>();

        /// <summary>The version of a patient's plan that counts, with its lines in order, or null.</summary>
        public Task<TreatmentPlanRow?> LatestPlanOf(Guid patientId, CancellationToken stop) =>
            db.Plans.AsNoTracking().Include(p => p.Lines.OrderBy(l => l.Ordinal)).Where(p => p.PatientId == patientId).OrderByDescending(p => p.Number).FirstOrDefaultAsync(stop);
    }

    /// <summary>How they are stored: a version once for each patient, accepted once; a patient with a plan cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<TreatmentPlanRow>, IEntityTypeConfiguration<PlanLineRow>, IEntityTypeConfiguration<PlanAcceptanceRow>
    {
        public void Configure(EntityTypeBuilder<TreatmentPlanRow> plan)
        {
            plan.ToTable("TreatmentPlans");
            plan.Property(p => p.Id).ValueGeneratedNever();
            plan.Property(p => p.Adjuncts).HasMaxLength(1000);
            plan.Property(p => p.Note).HasMaxLength(4000);
            plan.Property(p => p.SavedBy).HasMaxLength(200);
            plan.HasOne<PatientRow>().WithMany().HasForeignKey(p => p.PatientId).OnDelete(DeleteBehavior.Restrict);
            plan.HasMany(p => p.Lines).WithOne().HasForeignKey(l => l.PlanId).OnDelete(DeleteBehavior.Restrict);
            plan.HasIndex(p => new { p.PatientId, p.Number }).IsUnique();
        }

        public void Configure(EntityTypeBuilder<PlanLineRow> line)
        {
            line.ToTable("TreatmentPlanLines");
            line.Property(l => l.Id).ValueGeneratedNever();
            line.Property(l => l.Device).HasMaxLength(120);
            line.Ignore(l => l.Deposit);
        }

        public void Configure(EntityTypeBuilder<PlanAcceptanceRow> acceptance)
        {
            acceptance.ToTable("PlanAcceptances");
            acceptance.Property(a => a.Id).ValueGeneratedNever();
            acceptance.Property(a => a.SignedAs).HasMaxLength(200);
            acceptance.Property(a => a.HandedOverBy).HasMaxLength(200);
            acceptance.Property(a => a.Language).HasMaxLength(8);
            acceptance.Property(a => a.Hash).HasMaxLength(64);
            acceptance.HasOne<TreatmentPlanRow>().WithMany().HasForeignKey(a => a.PlanId).OnDelete(DeleteBehavior.Restrict);
            acceptance.HasIndex(a => a.PlanId).IsUnique();
        }
    }
}
