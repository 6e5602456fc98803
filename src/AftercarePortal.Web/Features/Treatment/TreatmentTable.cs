using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>What was done to one patient on one day. Written once, signed; only addenda follow.</summary>
internal sealed class TreatmentRow : IClinicRow
{
    /// <summary>Id the form was given when it was opened: sent twice, it is signed once.</summary>
    public required Guid Id { get; init; }
    public Guid ClinicId { get; init; }
    public required Guid PatientId { get; init; }
    /// <summary>The clinic's local date.</summary>
    public required LocalDate TreatedOn { get; init; }
    /// <summary>Full name of who signed.</summary>
    public required string SignedBy { get; init; }
    public required Instant SignedAt { get; init; }
    /// <summary>Which record of the patient, from 1; unique with the patient, so of two people who sign at once one is told.</summary>
    public int Number { get; init; } = 1;
    /// <summary>What happened during or right after it, in the signer's words; empty: nothing was written down.</summary>
    public string Events { get; init; } = "";
    /// <summary>Why a lot was given that had been recalled here before; empty: none had.</summary>
    public string RecalledWhy { get; init; } = "";
    /// <summary>Version of the plan it was begun from; null: none.</summary>
    public Guid? PlanId { get; init; }
    /// <summary>The record it touches up, never itself a touch-up; null: a treatment of its own.</summary>
    public Guid? TouchUpOf { get; init; }
    /// <summary>What was wrong with the patient's consent on the day of treatment, as it was found at signing; empty: one stood.</summary>
    public string ConsentGap { get; init; } = "";
    /// <summary>Why it was signed all the same; null: a consent stood.</summary>
    public NoConsent? NoConsent { get; init; }
    /// <summary>More of that in the signer's words; empty: none.</summary>
    public string NoConsentWords { get; init; } = "";
    /// <summary>As signed, empty when the treatment was stopped before the first deposit; what addenda put right is not in it (<see cref="PutRight.AsPutRight"/>).</summary>
    public List<PlacementRow> Placements { get; init; } = [];
    /// <summary>What was made ready, a line a syringe or vial; empty: nothing was written down.</summary>
    public List<DrawnRow> Drawn { get; init; } = [];
    /// <summary>What was added after signing; the record itself stays as it was.</summary>
    public List<AddendumRow> Addenda { get; init; } = [];

    /// <summary>Signed without a placement: it was stopped before anything was placed.</summary>
    public bool WasStopped => Placements.Count == 0;
}

/// <summary>One deposit.</summary>
internal sealed class PlacementRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    public Guid TreatmentId { get; init; }
    /// <summary>Place in the record, from 1.</summary>
    public required int Ordinal { get; init; }
    public required Region Region { get; init; }
    /// <summary>The patient's own side.</summary>
    public required Side Side { get; init; }
    public required ProductClass ProductClass { get; init; }
    /// <summary>The product as who signed wrote it, up to 120 letters.</summary>
    public required string ProductName { get; init; }
    /// <summary>As typed or scanned, up to 60 letters; of PRP the lot of the kit.</summary>
    public required string Lot
    {
        get;
        init => (field, LotKey) = (value, Clinical.Products.LotKey.Of(value));
    }

    /// <summary>What all spellings of the lot have in common; a recall looks for it.</summary>
    public string LotKey { get; private set; } = "";
    /// <summary>The barcode as printed, when it was scanned.</summary>
    public string? Udi { get; init; }
    /// <summary>Last day the pack may be used, as typed or scanned.</summary>
    public required LocalDate Expiry { get; init; }
    /// <summary>Hundredths of a millilitre; null for botulinum toxin type A.</summary>
    public int? HundredthsMl { get; init; }
    /// <summary>Tenths of a unit; only for botulinum toxin type A.</summary>
    public int? TenthsUnits { get; init; }
    /// <summary>Depth it was placed at.</summary>
    public required Plane Plane { get; init; }
    /// <summary>Needle or cannula as written, up to 120 letters.</summary>
    public required string Device { get; init; }
    /// <summary>Where needle or cannula went in; empty: not written down.</summary>
    public string EntryPoint { get; init; } = "";

    /// <summary>Of a copy that addenda put right: what was signed instead, in words; null: nothing of it was put right. Not kept.</summary>
    public string? WasSigned { get; init; }

    /// <summary>How much went where.</summary>
    public Clinical.Treatment.Deposit Deposit => new(Region, Side, ProductClass, HundredthsMl / 100m ?? TenthsUnits.GetValueOrDefault() / 10m);

    /// <summary>The amount as people write it, with its unit.</summary>
    public string Amount => Said(HundredthsMl ?? TenthsUnits.GetValueOrDefault());

    /// <summary>Another amount of the same product as people write it; hundredths of a millilitre or tenths of a unit.</summary>
    private string Said(int amount) => HundredthsMl is not null
        ? (amount / 100m).ToString("0.00", System.Globalization.CultureInfo.InvariantCulture) + " mL"
        : (amount / 10m).ToString("0.0", System.Globalization.CultureInfo.InvariantCulture) + " units";
}

/// <summary>What was made ready of one lot.</summary>
internal sealed class DrawnRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    public Guid TreatmentId { get; init; }
    /// <summary>Place in the record, from 1.</summary>
    public required int Ordinal { get; init; }
    public required ProductClass ProductClass { get; init; }
    /// <summary>As typed, up to 60 letters.</summary>
    public required string Lot
    {
        get;
        init => (field, LotKey) = (value, Clinical.Products.LotKey.Of(value));
    }

    /// <summary>What all spellings of the lot have in common.</summary>
    public string LotKey { get; private set; } = "";
    /// <summary>Hundredths of a millilitre; of a unit for botulinum toxin type A.</summary>
    public required int Hundredths { get; init; }
    /// <summary>Hundredths of a millilitre of diluent; null: none.</summary>
    public int? HundredthsDiluent { get; init; }
}

/// <summary>What was added to a signed record later.</summary>
internal sealed class AddendumRow : IClinicRow
{
    /// <summary>Id the form was given when it was opened: sent twice, it is added once.</summary>
    public required Guid Id { get; init; }
    public Guid ClinicId { get; init; }
    public required Guid TreatmentId { get; init; }
    /// <summary>In the writer's words, up to 4000 letters; where an amount is put right, the first line says which and how.</summary>
    public required string Text { get; init; }
    /// <summary>Full name of who wrote it.</summary>
    public required string WrittenBy { get; init; }
    public required Instant WrittenAt { get; init; }
    /// <summary>Place of the placement it puts right; null: none. What of the placement is right as it stands is null below.</summary>
    public int? Corrects { get; init; }
    /// <summary>The right amount in the smallest step of the right class, hundredths of a millilitre or tenths of a unit; 0: nothing was placed there.</summary>
    public int? RightAmount { get; init; }
    public Region? RightRegion { get; init; }
    /// <summary>The patient's own side.</summary>
    public Side? RightSide { get; init; }
    /// <summary>Never without the right product and, between mL and units, the right amount.</summary>
    public ProductClass? RightClass { get; init; }
    /// <summary>Up to 120 letters.</summary>
    public string? RightProduct { get; init; }
    /// <summary>Up to 60 letters.</summary>
    public string? RightLot
    {
        get;
        init => (field, RightLotKey) = (value, value is null ? null : Clinical.Products.LotKey.Of(value));
    }

    /// <summary>What all spellings of the right lot have in common; a recall looks for it.</summary>
    public string? RightLotKey { get; private set; }
    public LocalDate? RightExpiry { get; init; }
    /// <summary>The right day of treatment, the clinic's local date; null: it is right as it stands.</summary>
    public LocalDate? RightDay { get; init; }
    /// <summary>Whether the record holds, from this addendum on; null: it says nothing of that.</summary>
    public RecordStanding? Standing { get; init; }
}

/// <summary>Whether a signed record says what was done to its patient.</summary>
internal enum RecordStanding
{
    Holds,
    /// <summary>It was done to somebody else.</summary>
    WrongPatient,
    /// <summary>Another record says the same.</summary>
    EnteredTwice,
    /// <summary>Nothing of it was done.</summary>
    NotGiven,
}

/// <summary>The tables of signed treatment records.</summary>
internal static class TreatmentTable
{
    extension(PortalDb db)
    {
        public DbSet<TreatmentRow> Treatments => db.Set<TreatmentRow>();
        public DbSet<PlacementRow> Placements => db.Set<PlacementRow>();
        public DbSet<DrawnRow> Drawn => db.Set<DrawnRow>();
        public DbSet<AddendumRow> Addenda => db.Set<AddendumRow>();
    }

    /// <summary>How they are stored: saving a change to anything of them throws.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<TreatmentRow>, IEntityTypeConfiguration<PlacementRow>, IEntityTypeConfiguration<DrawnRow>, IEntityTypeConfiguration<AddendumRow>
    {
        public void Configure(EntityTypeBuilder<TreatmentRow> treatment)
        {
            treatment.ToTable("Treatments");
            treatment.Property(t => t.Id).ValueGeneratedNever();
            treatment.Property(t => t.SignedBy).HasMaxLength(200);
            treatment.HasOne<PatientRow>().WithMany().HasForeignKey(t => t.PatientId).OnDelete(DeleteBehavior.Restrict);
            treatment.HasMany(t => t.Placements).WithOne().HasForeignKey(p => p.TreatmentId).OnDelete(DeleteBehavior.Restrict);
            treatment.HasMany(t => t.Drawn).WithOne().HasForeignKey(d => d.TreatmentId).OnDelete(DeleteBehavior.Restrict);
            treatment.Property(t => t.Events).HasMaxLength(4000);
            treatment.Property(t => t.RecalledWhy).HasMaxLength(4000);
            treatment.Property(t => t.ConsentGap).HasMaxLength(200);
            treatment.Property(t => t.NoConsent).HasMaxLength(20);
            treatment.Property(t => t.NoConsentWords).HasMaxLength(4000);
            treatment.Ignore(t => t.WasStopped);
            treatment.HasIndex(t => new { t.PatientId, t.Number }).IsUnique();
            treatment.HasOne<TreatmentRow>().WithMany().HasForeignKey(t => t.TouchUpOf).OnDelete(DeleteBehavior.Restrict);
            treatment.HasMany(t => t.Addenda).WithOne().HasForeignKey(a => a.TreatmentId).OnDelete(DeleteBehavior.Restrict);
            treatment.HasIndex(t => new { t.ClinicId, t.PatientId, t.TreatedOn });
            WrittenOnce(treatment.Metadata);
        }

        public void Configure(EntityTypeBuilder<PlacementRow> placement)
        {
            placement.ToTable("Placements");
            placement.Property(p => p.Id).ValueGeneratedNever();
            placement.Property(p => p.Lot).HasMaxLength(60);
            placement.Property(p => p.LotKey).HasMaxLength(60);
            placement.Property(p => p.Udi).HasMaxLength(200);
            placement.Property(p => p.ProductName).HasMaxLength(120);
            placement.Property(p => p.Device).HasMaxLength(120);
            placement.Property(p => p.EntryPoint).HasMaxLength(120);
            placement.Ignore(p => p.Amount);
            placement.Ignore(p => p.WasSigned);
            placement.Ignore(p => p.Deposit);
            placement.HasIndex(p => new { p.ClinicId, p.LotKey });      // a recalled lot's patients
            WrittenOnce(placement.Metadata);
        }

        public void Configure(EntityTypeBuilder<DrawnRow> drawn)
        {
            drawn.ToTable("Drawn");
            drawn.Property(d => d.Id).ValueGeneratedNever();
            drawn.Property(d => d.Lot).HasMaxLength(60);
            drawn.Property(d => d.LotKey).HasMaxLength(60);
            drawn.HasIndex(d => new { d.ClinicId, d.LotKey });
            WrittenOnce(drawn.Metadata);
        }

        public void Configure(EntityTypeBuilder<AddendumRow> addendum)
        {
            addendum.ToTable("Addenda");
            addendum.Property(a => a.Id).ValueGeneratedNever();
            addendum.Property(a => a.Text).HasMaxLength(4000);
            addendum.Property(a => a.WrittenBy).HasMaxLength(200);
            addendum.Property(a => a.RightProduct).HasMaxLength(120);
            addendum.Property(a => a.RightLot).HasMaxLength(60);
            addendum.Property(a => a.RightLotKey).HasMaxLength(60);
            addendum.HasIndex(a => new { a.ClinicId, a.RightLotKey });  // a recalled lot's patients
            WrittenOnce(addendum.Metadata);
        }

        // Saving a change to anything but a key throws; a key cannot change anyway.
        private static void WrittenOnce(IMutableEntityType type)
        {
            foreach (var property in type.GetProperties().Where(p => !p.IsKey())) property.SetAfterSaveBehavior(PropertySaveBehavior.Throw);
        }
    }
}
