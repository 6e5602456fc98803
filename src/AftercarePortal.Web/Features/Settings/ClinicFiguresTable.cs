using System.Text.Json;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>What a clinic's own cases taught the price model at one moment. Only added: a quote names the version it was made with.</summary>
internal sealed class ClinicFiguresRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    /// <summary>From 1, unique in the clinic.</summary>
    public required int Number { get; set; }
    /// <summary>Version of the model that learned.</summary>
    public required string Model { get; set; }
    /// <summary>Completed cases behind it.</summary>
    public required int Cases { get; set; }
    /// <summary>Cases whose examination was not recorded.</summary>
    public required int WithoutExam { get; set; }
    /// <summary>Cases not used: treatment id and reason, as JSON.</summary>
    public required string LeftOut { get; set; }
    /// <summary>A <see cref="ClinicFigures"/> as JSON.</summary>
    public required string Json { get; set; }
    /// <summary>A <see cref="Calibration"/> for each share the clinic may promise, as JSON: how far completed quotes widen the next price ranges.</summary>
    public required string Calibrations { get; set; }
    /// <summary>What the cases were made of; the same cases on the same day are not learned twice.</summary>
    public required string Fingerprint { get; set; }
    public required Instant LearnedAt { get; set; }
    /// <summary>Who asked for it; null: a signed record did.</summary>
    public string? AskedBy { get; set; }
}

/// <summary>The table of what was learned.</summary>
internal static class ClinicFiguresTable
{
    extension(PortalDb db)
    {
        public DbSet<ClinicFiguresRow> ClinicFigures => db.Set<ClinicFiguresRow>();

        /// <summary>The newest version, or null.</summary>
        public Task<ClinicFiguresRow?> NewestFigures(CancellationToken stop) =>
            db.ClinicFigures.AsNoTracking().OrderByDescending(f => f.Number).FirstOrDefaultAsync(stop);

        /// <summary>What the next range starts from: the newest version, or number 0, the model's cold start, when none was learned by this model.</summary>
        /// <param name="promised">Share the next range is to hold.</param>
        public async Task<(int Number, ClinicFigures Figures, Calibration Calibration)> FiguresFor(PriceModel model, double promised, CancellationToken stop)
        {
            var newest = await db.NewestFigures(stop);
            return newest is not null && newest.Model == model.Version.ToString() ? (newest.Number, newest.Figures(), newest.Widening(promised)) : (0, model.ColdStart(), Calibration.Of([], promised));
        }
    }

    extension(ClinicFiguresRow row)
    {
        /// <summary>What was learned, as it was kept.</summary>
        public ClinicFigures Figures() => JsonSerializer.Deserialize<ClinicFigures>(row.Json)!;

        /// <summary>For a share that <see cref="PromisedShare"/> allows.</summary>
        public Calibration Widening(double promised) => JsonSerializer.Deserialize<List<Calibration>>(row.Calibrations)!.MinBy(c => Math.Abs(c.Promised - promised))!;
    }

    /// <summary>How they are stored: a number once for each clinic.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<ClinicFiguresRow>
    {
        public void Configure(EntityTypeBuilder<ClinicFiguresRow> figures)
        {
            figures.ToTable("ClinicFigures");
            figures.Property(f => f.Model).HasMaxLength(80);
            figures.Property(f => f.Fingerprint).HasMaxLength(64);
            figures.Property(f => f.AskedBy).HasMaxLength(200);
            figures.HasIndex(f => new { f.ClinicId, f.Number }).IsUnique();
        }
    }
}
