using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>One clinic and what its texts need.</summary>
internal sealed class ClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public required string Name { get; set; }
    /// <summary>The clinic's word in public addresses, for example <c>wrenfold</c>: lower-case letters, digits and hyphens.</summary>
    public string Slug { get; set; } = Guid.CreateVersion7().ToString();
    /// <summary>Version of the price list it has adopted, for example <c>wrenfold-prices.v1</c>; null: no range can be said.</summary>
    public string? PriceList { get; set; }
    /// <summary>Of 100 totals so many a range promises to hold, 50 to 95.</summary>
    public int RangesHold { get; set; } = (int)(100 * PromisedShare.Usual);
    /// <summary>The same as a share.</summary>
    public double Promised => RangesHold / 100.0;
    /// <summary>IANA time zone.</summary>
    public required string Zone { get; set; }
    /// <summary>The local emergency number, for example 911.</summary>
    public required string EmergencyNumber { get; set; }
    /// <summary>The clinic's own line, E.164 or as people dial it.</summary>
    public required string ClinicLine { get; set; }
    /// <summary>E.164 number patients text.</summary>
    public required string PatientNumber { get; set; }
    /// <summary>E.164 number that pages staff; only staff are on it.</summary>
    public required string PageNumber { get; set; }
    /// <summary>From this time on the clinic's wall clock no everyday text goes out.</summary>
    public required LocalTime QuietFrom { get; set; }
    /// <summary>End of the quiet hours, exclusive; before <see cref="QuietFrom"/>: the next morning; the same: there are none.</summary>
    public required LocalTime QuietTo { get; set; }
}

/// <summary>How a clinic's settings stood after somebody changed them. Only added.</summary>
internal sealed class ClinicChangeRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    /// <summary>All settings that can be changed on the page, as JSON.</summary>
    public required string Json { get; set; }
    /// <summary>Full name of who changed them; <see cref="SettingsChange.BeforeTheFirst"/>: how they stood before.</summary>
    public required string ChangedBy { get; set; }
    public required Instant ChangedAt { get; set; }
}

/// <summary>The tables of clinics and of changes to their settings.</summary>
internal static class ClinicTable
{
    extension(PortalDb db)
    {
        public DbSet<ClinicRow> Clinics => db.Set<ClinicRow>();
        public DbSet<ClinicChangeRow> ClinicChanges => db.Set<ClinicChangeRow>();

        /// <summary>The number patients of this clinic text, E.164; its country is meant where a number is typed without one.</summary>
        public Task<string> ClinicNumber(CancellationToken stop) => db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.PatientNumber).SingleAsync(stop);
    }

    /// <summary>How they are stored: word and numbers of a clinic are nobody else's; of two who change settings in the same moment the second is refused.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<ClinicRow>, IEntityTypeConfiguration<ClinicChangeRow>
    {
        public void Configure(EntityTypeBuilder<ClinicRow> clinic)
        {
            clinic.ToTable("Clinics");
            clinic.Ignore(c => c.Promised);
            clinic.Property(c => c.PriceList).HasMaxLength(80);
            clinic.Property(c => c.Slug).HasMaxLength(60);
            // Of two who save in the same moment the second is told.
            foreach (var changed in new[] { nameof(ClinicRow.Name), nameof(ClinicRow.Zone), nameof(ClinicRow.EmergencyNumber), nameof(ClinicRow.ClinicLine), nameof(ClinicRow.QuietFrom), nameof(ClinicRow.QuietTo), nameof(ClinicRow.PriceList), nameof(ClinicRow.RangesHold) })
                clinic.Property(changed).IsConcurrencyToken();
            clinic.HasIndex(c => c.Slug).IsUnique();
            clinic.Property(c => c.PatientNumber).HasMaxLength(20);
            clinic.Property(c => c.PageNumber).HasMaxLength(20);
            clinic.HasIndex(c => c.PatientNumber).IsUnique();
            clinic.HasIndex(c => c.PageNumber).IsUnique();
        }

        public void Configure(EntityTypeBuilder<ClinicChangeRow> change)
        {
            change.ToTable("ClinicChanges");
            change.Property(c => c.ChangedBy).HasMaxLength(200);
            change.HasIndex(c => new { c.ClinicId, c.ChangedAt });
        }
    }
}
