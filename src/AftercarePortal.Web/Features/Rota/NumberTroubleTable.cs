using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Messages;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>A number of staff whom pages did not reach, and why.</summary>
internal sealed class NumberTroubleRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>E.164.</summary>
    public required string Number { get; set; }
    /// <summary>Text or call.</summary>
    public required ContactWay Way { get; set; }
    public required TroubleKind What { get; set; }
    /// <summary>The carrier's error code, or null.</summary>
    public int? Code { get; set; }
    /// <summary>When it was noticed.</summary>
    public required Instant At { get; set; }
    /// <summary>When this way was shown to work again. A page that arrived later ends it too.</summary>
    public Instant? EndedAt { get; set; }
}

/// <summary>What is wrong with a number.</summary>
internal enum TroubleKind
{
    /// <summary>STOP or one of its kin was texted from it: the carrier sends it nothing any more.</summary>
    Stopped,
    /// <summary>The carrier says it opted out.</summary>
    OptedOut,
    /// <summary>No number that takes texts or calls.</summary>
    NoSuchNumber,
    /// <summary>Switched off, out of reach or blocked.</summary>
    Unreachable,
    /// <summary>The carrier took the page and never said that it sent it.</summary>
    NotSent,
    /// <summary>It did not arrive, and the reason is unknown: the carrier gave no code, or one we have no word for.</summary>
    NotArrived,
}

/// <summary>The table of numbers that pages did not reach.</summary>
internal static class NumberTroubleTable
{
    extension(PortalDb db)
    {
        public DbSet<NumberTroubleRow> NumberTroubles => db.Set<NumberTroubleRow>();

        /// <summary>Troubles that last: neither shown to be over, nor followed by a page that arrived.</summary>
        public IQueryable<NumberTroubleRow> LastingTroubles
        {
            get
            {
                // By number first: of all that was ever delivered only the pages to this one.
                var (deliveries, outgoing) = (db.Deliveries, db.Outgoing);
                return db.NumberTroubles.Where(t => t.EndedAt == null && !(t.Way == ContactWay.Text && outgoing.Any(o =>
                    o.To == t.Number && o.Kind == OutgoingKind.PageText && deliveries.Any(d => d.OutgoingId == o.Id && d.Status == "delivered" && d.ReceivedAt > t.At))));
            }
        }
    }

    /// <summary>How they are stored: found by number.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<NumberTroubleRow>
    {
        public void Configure(EntityTypeBuilder<NumberTroubleRow> trouble)
        {
            trouble.ToTable("NumberTroubles");
            trouble.Property(t => t.Number).HasMaxLength(20);
            trouble.Property(t => t.Way).HasMaxLength(20);
            trouble.Property(t => t.What).HasMaxLength(20);
            trouble.HasIndex(t => new { t.ClinicId, t.Number });
        }
    }
}
