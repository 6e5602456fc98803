using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Intake;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What a clinician found at one examination, as far as the price model asks for it. Only added: the latest counts.</summary>
internal sealed class ExaminationRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>From 1; unique with the intake, so of two who examine at once one is told.</summary>
    public required int Number { get; set; }
    /// <summary>0 none, 1 mild, 2 moderate, 3 marked; null: not judged.</summary>
    public int? Laxity { get; set; }
    /// <summary>0 full support, 1 reduced, 2 marked loss; null: not judged.</summary>
    public int? Bone { get; set; }
    /// <summary>0 small, 1 clear, 2 strong; null: not judged.</summary>
    public int? SideDifference { get; set; }
    /// <summary>Gonial angle of the patient's left, tenths of a degree; null: not measured.</summary>
    public int? LeftTenths { get; set; }
    /// <inheritdoc cref="LeftTenths" />
    public int? RightTenths { get; set; }
    /// <summary>How far misplaced points of photos put left less right off, standard deviation in tenths of a degree; 0: neither angle is of a photo.</summary>
    public int PlacedSdTenths { get; set; }
    /// <summary>Whether earlier product is there; null: not judged.</summary>
    public bool? EarlierProduct { get; set; }
    /// <summary>Resistance of the tissue expected: 0 none, 1 some, 2 much; null: not judged.</summary>
    public int? Resistance { get; set; }
    /// <summary>Who is to treat, by the name records are signed with; null: not settled. The range follows what that person has used.</summary>
    public string? Injector { get; set; }
    /// <summary>Full name of who examined, or only named who is to treat.</summary>
    public required string ExaminedBy { get; set; }
    public required Instant ExaminedAt { get; set; }

    /// <summary>At least one finding, or both angles: enough for a range of its own. A row without names only who is to treat.</summary>
    public bool HasFindings => this is not { Laxity: null, Bone: null, SideDifference: null, EarlierProduct: null, Resistance: null } or { LeftTenths: not null, RightTenths: not null };

    /// <summary>For the model.</summary>
    public ExamFindings Findings() => new(Laxity, Bone, SideDifference) { GonialLeft = LeftTenths / 10.0, GonialRight = RightTenths / 10.0, PlacedSd = PlacedSdTenths / 10.0, FillerHere = EarlierProduct, Resistance = Resistance };
}

/// <summary>The table of examinations.</summary>
internal static class ExaminationTable
{
    extension(PortalDb db)
    {
        public DbSet<ExaminationRow> Examinations => db.Set<ExaminationRow>();

        /// <summary>The latest examination of an intake, or null.</summary>
        public Task<ExaminationRow?> LatestExaminationOf(Guid intakeId, CancellationToken stop) =>
            db.Examinations.AsNoTracking().Where(e => e.IntakeId == intakeId).OrderByDescending(e => e.Number).FirstOrDefaultAsync(stop);

        /// <summary>The range the latest examination gave; null: there was none, or none can be said since. That of an earlier examination stands after none any more.</summary>
        public async Task<QuoteRow?> RangeAfterExamination(Guid intakeId, CancellationToken stop) =>
            await db.LatestExaminationOf(intakeId, stop) is { Id: var examination }
                ? await db.Quotes.AsNoTracking().Where(q => q.ExaminationId == examination).OrderByDescending(q => q.MadeAt).ThenByDescending(q => q.Id).FirstOrDefaultAsync(stop)
                : null;
    }

    /// <summary>How they are stored: a number once for each intake, which then cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<ExaminationRow>
    {
        public void Configure(EntityTypeBuilder<ExaminationRow> examination)
        {
            examination.ToTable("Examinations");
            examination.Property(e => e.Injector).HasMaxLength(200);
            examination.Property(e => e.ExaminedBy).HasMaxLength(200);
            examination.HasIndex(e => new { e.IntakeId, e.Number }).IsUnique();
            examination.HasOne<IntakeRow>().WithMany().HasForeignKey(e => e.IntakeId).OnDelete(DeleteBehavior.Restrict);
        }
    }
}
