using System.Text.Json;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>One price range as it was worked out, with all that went into it and came out. Only added: it can be shown again as it was.</summary>
internal sealed class QuoteRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public required Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>When it was worked out.</summary>
    public required Instant MadeAt { get; set; }
    public required QuoteStage Stage { get; set; }
    /// <summary>The examination behind it; null before there was one.</summary>
    public Guid? ExaminationId { get; set; }
    /// <summary>Version of the price model.</summary>
    public required string Model { get; set; }
    /// <summary>Version of the price list.</summary>
    public required string Prices { get; set; }
    /// <summary>Version of the clinic's learned figures; 0 is the model's cold start.</summary>
    public required int Figures { get; set; }
    /// <summary>A <see cref="QuoteInputs"/> as JSON.</summary>
    public required string Inputs { get; set; }
    /// <summary>The <see cref="PriceRange"/> with its whole distribution, as JSON.</summary>
    public required string Range { get; set; }
    /// <summary>The <see cref="AmountForecast"/>s in mL, as JSON; an empty list where no filler is wished.</summary>
    public required string Amounts { get; set; }
}

/// <summary>What was known when a range was worked out.</summary>
internal enum QuoteStage
{
    /// <summary>The person's own answers.</summary>
    Answers,
    /// <summary>The answers and what a clinician found.</summary>
    Examined,
}

/// <summary>The table of price ranges.</summary>
internal static class QuoteTable
{
    extension(PortalDb db)
    {
        public DbSet<QuoteRow> Quotes => db.Set<QuoteRow>();

        /// <summary>The range from the answers alone, or null.</summary>
        public Task<QuoteRow?> FirstRangeOf(Guid intakeId, CancellationToken stop) =>
            db.Quotes.AsNoTracking().Where(q => q.IntakeId == intakeId && q.Stage == QuoteStage.Answers).OrderByDescending(q => q.MadeAt).ThenByDescending(q => q.Id).FirstOrDefaultAsync(stop);
    }

    extension(QuoteRow quote)
    {
        /// <summary>The price range, as it was kept.</summary>
        public PriceRange ShownRange() => JsonSerializer.Deserialize<PriceRange>(quote.Range)!;

        /// <summary>What was answered to one question it depends on, codes; empty: nothing.</summary>
        public IReadOnlyList<string> Wished(string question) => JsonSerializer.Deserialize<QuoteInputs>(quote.Inputs)!.Answers.GetValueOrDefault(question)?.Values ?? [];

        /// <summary>The amounts expected, in mL, as they were kept.</summary>
        public IReadOnlyList<AmountForecast> Forecasts() => JsonSerializer.Deserialize<List<AmountForecast>>(quote.Amounts)!;
    }

    /// <summary>How they are stored: a range goes with its intake.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<QuoteRow>
    {
        public void Configure(EntityTypeBuilder<QuoteRow> quote)
        {
            quote.ToTable("Quotes");
            quote.Property(q => q.Stage).HasMaxLength(20);
            quote.Property(q => q.Model).HasMaxLength(80);
            quote.Property(q => q.Prices).HasMaxLength(80);
            quote.HasOne<IntakeRow>().WithMany().HasForeignKey(q => q.IntakeId).OnDelete(DeleteBehavior.Cascade);
            quote.HasIndex(q => new { q.IntakeId, q.MadeAt });
        }
    }
}
