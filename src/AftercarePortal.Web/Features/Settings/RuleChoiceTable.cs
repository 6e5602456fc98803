using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>What a clinic chose at one candidacy rule where practice differs. Only added: the latest of a rule counts, earlier ones stay.</summary>
internal sealed class RuleChoiceRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>From 1 for each rule of a clinic; unique, so of two who choose at once one is told.</summary>
    public required int Number { get; set; }
    /// <summary>Id of the candidacy rule in content.</summary>
    public required string RuleId { get; set; }
    /// <summary>Id of the choice, as content offers it; null: the rule as it stands.</summary>
    public string? Choice { get; set; }
    /// <summary>What it meant when it was chosen, in words.</summary>
    public required string Means { get; set; }
    /// <summary>Version of the rules that offered it, for example <c>lower-face.v1</c>.</summary>
    public required string Rules { get; set; }
    /// <summary>Why, in the clinic's own words, up to <see cref="ChooseRule.LongestReason"/> characters.</summary>
    public required string Reason { get; set; }
    /// <summary>Full name of who chose.</summary>
    public required string ChosenBy { get; set; }
    public required Instant ChosenAt { get; set; }
}

/// <summary>The table of what clinics chose where practice differs.</summary>
internal static class RuleChoiceTable
{
    extension(PortalDb db)
    {
        public DbSet<RuleChoiceRow> RuleChoices => db.Set<RuleChoiceRow>();

        /// <summary>Id of the choice by id of the rule, as the clinic practises now; a rule that stands as it is is not in it.</summary>
        public async Task<IReadOnlyDictionary<string, string>> RuleChoicesNow(CancellationToken stop) =>
            (await db.RuleChoices.AsNoTracking().ToListAsync(stop)).GroupBy(c => c.RuleId).Select(g => g.MaxBy(c => c.Number)!)
                .Where(c => c.Choice is not null).ToDictionary(c => c.RuleId, c => c.Choice!);
    }

    /// <summary>How they are stored: a number once for each rule of a clinic.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<RuleChoiceRow>
    {
        public void Configure(EntityTypeBuilder<RuleChoiceRow> choice)
        {
            choice.ToTable("RuleChoices");
            choice.Property(c => c.RuleId).HasMaxLength(100);
            choice.Property(c => c.Choice).HasMaxLength(100);
            choice.Property(c => c.Rules).HasMaxLength(100);
            choice.Property(c => c.ChosenBy).HasMaxLength(200);
            choice.HasIndex(c => new { c.ClinicId, c.RuleId, c.Number }).IsUnique();
        }
    }
}
