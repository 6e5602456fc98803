using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Keeps what a clinician makes of one finding: reason and consequence, beside the finding and never in its place.</summary>
internal sealed class OverrideFinding(PortalDb db, TimeProvider time)
{
    /// <summary>Longest reason or consequence, in UTF-16 units.</summary>
    public const int Longest = 2000;

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        public sealed record Refused(IReadOnlyList<string> Faults) : Outcome;
        public sealed record Meanwhile(string By) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="id">A sent intake.</param>
    /// <param name="place">Place of the finding in the result, from 1: a rule's name does not belong in an address.</param>
    /// <param name="becomes">A <see cref="FindingKind"/>, or <c>SetAside</c>.</param>
    /// <param name="seen">How many overrides of this finding the page had shown.</param>
    public async Task<Outcome> Run(Guid id, int place, string? becomes, string? reason, string? consequence, int seen, string by, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (!await db.Intakes.AnyAsync(i => i.Id == id && i.SubmittedAt != null, stop)) return new Outcome.NotFound();
        if (IntakeResult.FromJson((await db.LatestResultOf(id, stop))!.Json).Findings.ElementAtOrDefault(place - 1) is not { } finding) return new Outcome.NotFound();
        var latest = await Latest(id, finding.RuleId, stop);
        if (latest is not null && latest.Number > seen) return new Outcome.Meanwhile(latest.DecidedBy);
        if (seen != (latest?.Number ?? 0)) return new Outcome.Refused([OpenedAt.Never]);

        // decide
        var faults = new List<string>();
        var kind = Enum.TryParse<FindingKind>(becomes, out var read) && Enum.IsDefined(read) ? read : (FindingKind?)null;
        if (kind is null && becomes != "SetAside") faults.Add("Choose what the finding counts as.");
        if (string.IsNullOrWhiteSpace(reason) || reason.Length > Longest) faults.Add($"Write your reason, up to {Longest} characters.");
        if (string.IsNullOrWhiteSpace(consequence) || consequence.Length > Longest) faults.Add($"Write what follows, up to {Longest} characters.");
        if (faults.Count > 0) return new Outcome.Refused(faults);

        // write
        db.Add(new OverrideRow { IntakeId = id, RuleId = finding.RuleId, Number = seen + 1, Becomes = kind, Reason = reason!.Trim(), Consequence = consequence!.Trim(), DecidedBy = by, DecidedAt = now });
        try
        {
            await db.SaveChangesAsync(stop);
            return new Outcome.Kept();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await Latest(id, finding.RuleId, stop) is { } other && other.Number > seen) return new Outcome.Meanwhile(other.DecidedBy);
            throw;
        }
    }

    private Task<OverrideRow?> Latest(Guid id, string rule, CancellationToken stop) =>
        db.Overrides.AsNoTracking().Where(o => o.IntakeId == id && o.RuleId == rule).OrderByDescending(o => o.Number).FirstOrDefaultAsync(stop);
}
