namespace AftercarePortal.Clinical.Pricing;

/// <summary>What one patient adds to the regression: one entry a measured amount.</summary>
/// <param name="Y">Log of the amount minus log of the region's median; finite.</param>
/// <param name="X">One row an amount, as wide as the prior.</param>
/// <param name="Region">Which region an amount belongs to; equal numbers share a region.</param>
/// <param name="SideFactor">Factor on the sd of one side, above 0.</param>
/// <param name="Weight">0..1: what is left of the case after forgetting.</param>
public sealed record CaseBlock(IReadOnlyList<double> Y, IReadOnlyList<double[]> X, IReadOnlyList<int> Region, IReadOnlyList<double> SideFactor, double Weight = 1)
{
    /// <summary>The first fault in plain words, or null.</summary>
    /// <param name="width">Parameters of the prior.</param>
    public string? Fault(int width)
    {
        var n = Y.Count;
        if (n == 0) return "y must hold an amount";
        if (X.Count != n || Region.Count != n || SideFactor.Count != n) return "y, X, region and k must be equally long";
        if (Y.Any(v => !double.IsFinite(v))) return "y must be finite";
        if (X.Any(row => row.Length != width || row.Any(v => !double.IsFinite(v)))) return "X must have one finite number a parameter in each row";
        if (SideFactor.Any(k => !(k > 0) || !double.IsFinite(k))) return "k must be above 0";
        return Weight is > 0 and <= 1 ? null : "weight must be above 0 and at most 1";
    }
}
