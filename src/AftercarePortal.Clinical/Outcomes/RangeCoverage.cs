namespace AftercarePortal.Clinical.Outcomes;

/// <summary>How many ranges held what came.</summary>
/// <param name="Held">0..Of.</param>
/// <param name="Of">Completed quotes, 0 or more.</param>
/// <param name="Promised">Share the ranges promised to hold, on average; above 0 and below 1.</param>
public sealed record RangeCoverage(int Held, int Of, double Promised)
{
    /// <summary>Where the true share may lie with 95 percent confidence; null without a completed quote.</summary>
    public BinomialInterval? Between => Of > 0 ? BinomialInterval.Of(Held, Of) : null;

    /// <summary>The same in hundredths, rounded outwards, as it is said wherever it is said.</summary>
    public (int Least, int Most)? BetweenOf100 => Between is { } between ? ((int)Math.Floor(100 * between.Lower), (int)Math.Ceiling(100 * between.Upper)) : null;

    /// <summary>What was promised, in hundredths, as it is said wherever it is said.</summary>
    public int PromisedOf100 => (int)Math.Round(100 * Promised);

    /// <summary>Whether fewer held than chance explains: even the upper end lies below what was promised.</summary>
    public bool TooFew => Between is { } between && between.Upper < Promised;

    /// <summary>In plain words, for example <c>16 of 20 ranges held what came. The true share lies between 56 and 95 in 100.</c> Too few cases are said to be few; nothing is ever called good.</summary>
    public string Says() => BetweenOf100 is var (least, most)
        ? $"{Held} of {Of} ranges held what came. The true share lies between {least} and {most} in 100."
            + (TooFew ? $" That is fewer than the {PromisedOf100} in 100 that were promised: do not rely on these ranges until it is known why." : "")
            + (Of < ConformalWidening.From ? " These are few cases: this can still be chance." : "")
        : "No quote has been completed yet, so nobody can say whether the ranges hold.";
}
