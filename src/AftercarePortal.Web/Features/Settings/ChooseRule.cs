using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>Keeps what a clinic chooses where practice differs. Findings made before stay as they were.</summary>
internal sealed class ChooseRule(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <summary>Longest reason, in UTF-16 units.</summary>
    public const int LongestReason = 2000;

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        public sealed record Refused(IReadOnlyList<string> Faults) : Outcome;
        /// <summary>Somebody chose since the page was opened.</summary>
        public sealed record Meanwhile(string By) : Outcome;
    }

    /// <param name="ruleId">A rule in force that offers a choice.</param>
    /// <param name="choice">Id of a choice it offers; empty: the rule as it stands.</param>
    /// <param name="seen">How many choices of this rule the page had shown.</param>
    /// <param name="reason">Why, in the clinic's own words.</param>
    /// <param name="by">Who chooses.</param>
    /// <param name="stop">Stops it before anything is written.</param>
    public async Task<Outcome> Run(string? ruleId, string? choice, int seen, string? reason, string by, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var rule = content.Candidacy.Rules.FirstOrDefault(r => r.Id == ruleId && r.Choices.Count > 0);
        var latest = await Latest(ruleId, stop);

        // decide
        var faults = new List<string>();
        var chosen = rule?.Choices.FirstOrDefault(c => c.Id == choice);
        if (rule is null) faults.Add("Choose a rule that offers a choice.");
        else if (chosen is null && !string.IsNullOrEmpty(choice)) faults.Add("Choose one of the ways that are offered.");
        if (string.IsNullOrWhiteSpace(reason) || reason.Length > LongestReason) faults.Add($"Write your reason, up to {LongestReason} characters.");
        if (faults.Count > 0) return new Outcome.Refused(faults);
        if (latest is not null && latest.Number > seen) return SameAs(latest) ? new Outcome.Kept() : new Outcome.Meanwhile(latest.ChosenBy);
        if (seen != (latest?.Number ?? 0)) return new Outcome.Refused([OpenedAt.Never]);
        if ((latest?.Choice ?? "") == (chosen?.Id ?? "")) return new Outcome.Refused(["This is how your clinic practises already."]);

        // write
        db.Add(new RuleChoiceRow
        {
            Number = seen + 1, RuleId = rule!.Id, Choice = chosen?.Id, Means = chosen?.Means ?? AsItStands(rule), Rules = content.Candidacy.Version.ToString(),
            Reason = reason!.Trim(), ChosenBy = by, ChosenAt = now,
        });
        try
        {
            await db.SaveChangesAsync(stop);
            return new Outcome.Kept();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await Latest(ruleId, stop) is { } other && other.Number > seen) return SameAs(other) ? new Outcome.Kept() : new Outcome.Meanwhile(other.ChosenBy);
            throw;
        }

        // Sent twice by one person it is one choice.
        bool SameAs(RuleChoiceRow kept) => (kept.ChosenBy, kept.Choice, kept.Reason) == (by, chosen?.Id, reason!.Trim());
    }

    /// <summary>What the rule means while nothing is chosen.</summary>
    public static string AsItStands(CandidacyRule rule) => $"As the rule stands: {rule.Says}";

    private Task<RuleChoiceRow?> Latest(string? ruleId, CancellationToken stop) =>
        db.RuleChoices.AsNoTracking().Where(c => c.RuleId == ruleId).OrderByDescending(c => c.Number).FirstOrDefaultAsync(stop);
}
