using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>One test page: it must be taken in time, or pages may not reach this person.</summary>
internal sealed class TestPageRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>Says what it is for; unique, so one shift asks once a day.</summary>
    public required string Key { get; set; }
    /// <summary>Staff id.</summary>
    public required string Person { get; set; }
    /// <summary>E.164 number it went to.</summary>
    public required string Number { get; set; }
    /// <summary>When it was put in line to be sent.</summary>
    public required Instant AskedAt { get; set; }
    /// <summary>Until when it has to be taken.</summary>
    public required Instant DueAt { get; set; }
    /// <summary>When it was taken, in time or late; null: not yet.</summary>
    public Instant? TakenAt { get; set; }
    /// <summary>How it was taken; null: not yet.</summary>
    public ContactWay? TakenBy { get; set; }
    /// <summary>Set when it was not taken in time; a late taking leaves it.</summary>
    public Instant? MissedAt { get; set; }
}

/// <summary>When a way to reach somebody was last shown to work.</summary>
internal sealed class ContactProofRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>Staff id.</summary>
    public required string Person { get; set; }
    /// <summary>Unique with the person.</summary>
    public required ContactWay Way { get; set; }
    /// <summary>E.164 number it was shown for; another number is not proven by it.</summary>
    public required string Number { get; set; }
    /// <summary>When it worked last.</summary>
    public required Instant At { get; set; }
}

/// <summary>How a page was answered. A link came by text, so it shows that texts arrive.</summary>
internal enum ContactWay { Text, Call, Link }

/// <summary>The tables of test pages and of what is proven to reach staff.</summary>
internal static class TestPageTable
{
    extension(PortalDb db)
    {
        public DbSet<TestPageRow> TestPages => db.Set<TestPageRow>();
        public DbSet<ContactProofRow> ContactProofs => db.Set<ContactProofRow>();
    }

    /// <summary>How they are stored: one test page for each key, one proof for each person and way.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<TestPageRow>, IEntityTypeConfiguration<ContactProofRow>
    {
        public void Configure(EntityTypeBuilder<TestPageRow> test)
        {
            test.ToTable("TestPages");
            test.Property(t => t.Key).HasMaxLength(80);
            test.Property(t => t.Person).HasMaxLength(100);
            test.Property(t => t.Number).HasMaxLength(20);
            test.Property(t => t.TakenBy).HasMaxLength(20);
            test.HasIndex(t => new { t.ClinicId, t.Key }).IsUnique();
            test.HasIndex(t => new { t.ClinicId, t.AskedAt });
        }

        public void Configure(EntityTypeBuilder<ContactProofRow> proof)
        {
            proof.ToTable("ContactProofs");
            proof.Property(p => p.Person).HasMaxLength(100);
            proof.Property(p => p.Way).HasMaxLength(20);
            proof.Property(p => p.Number).HasMaxLength(20);
            proof.HasIndex(p => new { p.ClinicId, p.Person, p.Way }).IsUnique();
        }
    }
}
