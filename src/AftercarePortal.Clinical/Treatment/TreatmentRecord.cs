using NodaTime;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>What was done to one patient on one day. Signed once; then only addenda.</summary>
public sealed record TreatmentRecord
{
    private TreatmentRecord(LocalDate treatedOn, Instant signed, IReadOnlyList<Placement> placements) =>
        (TreatedOn, Signed, Placements) = (treatedOn, signed, placements);

    /// <summary>The clinic's local date of treatment: day 0.</summary>
    public LocalDate TreatedOn { get; }

    /// <summary>When it was signed.</summary>
    public Instant Signed { get; }

    /// <summary>Every deposit, as ordered in the record; empty: it was stopped before the first.</summary>
    public IReadOnlyList<Placement> Placements { get; }

    /// <summary>Signs a record, or says everything that keeps it from being signed.</summary>
    /// <param name="treatedOn">The clinic's local date of treatment.</param>
    /// <param name="today">The clinic's local date now; a record of a later day cannot be signed.</param>
    /// <param name="signed">Now.</param>
    /// <param name="placements">Every deposit; copied.</param>
    /// <param name="drawn">What was made ready, as far as it was written down.</param>
    /// <param name="events">What happened during or right after it; a treatment stopped before the first deposit is told by this or by what was made ready.</param>
    public static Outcome Sign(LocalDate treatedOn, LocalDate today, Instant signed, IReadOnlyList<Placement> placements, IReadOnlyList<DrawnUp>? drawn = null, string? events = null)
    {
        var refusals = new List<Refusal>();
        if (placements.Count == 0 && drawn is null or [] && string.IsNullOrWhiteSpace(events)) refusals.Add(new(RefusalReason.NoPlacement, null));
        if (treatedOn > today) refusals.Add(new(RefusalReason.TreatedAfterSigning, null));
        for (var i = 0; i < placements.Count; i++)
            refusals.AddRange(placements[i].Draft.Against(treatedOn).Select(why => new Refusal(why, i + 1)));
        if (LotTotal.Of(placements, drawn ?? []).Any(lot => lot.Left < 0)) refusals.Add(new(RefusalReason.MoreThanDrawnUp, null));
        return refusals.Count == 0 ? new Outcome.Made(new(treatedOn, signed, [.. placements])) : new Outcome.Refused(refusals);
    }

    /// <summary>What came of signing.</summary>
    public abstract record Outcome
    {
        private Outcome() { }

        /// <summary>Signed.</summary>
        public sealed record Made(TreatmentRecord Record) : Outcome;

        /// <summary>Not signed; every reason at once, never empty.</summary>
        public sealed record Refused(IReadOnlyList<Refusal> Reasons) : Outcome;
    }
}
