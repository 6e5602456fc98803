namespace AftercarePortal.Clinical.Pricing;

/// <summary>Everything the engine needs for one total: numbers only, no words.</summary>
/// <param name="Nu">Degrees of freedom of the spread f2; null when f2 is known to be S2.</param>
/// <param name="S2">Scale of f2, above 0.</param>
/// <param name="TauU">Sd of the whole face, log scale.</param>
/// <param name="TauW">Sd of one region of this face.</param>
/// <param name="TauE">Sd of one side.</param>
/// <param name="SideFactor">Factor on TauE for each level of left-right difference.</param>
/// <param name="LaxityBone">Joint probability, by laxity then bone level.</param>
/// <param name="SideDifference">Probability of each level of left-right difference.</param>
/// <param name="LaxityShift">Log shift by laxity level.</param>
/// <param name="BoneShift">Log shift by bone level.</param>
/// <param name="Shifts">What the answers leave open, as weighted common log shifts with the clinic's shared variance.</param>
/// <param name="Products">None to three fillers.</param>
/// <param name="SecondVisit">Null when none is counted.</param>
/// <param name="Toxin">By laxity level: units and probability.</param>
/// <param name="ToxinPrice">Minor units each.</param>
/// <param name="Sessions">By laxity level: probability of 0, 1, 2 ... sessions.</param>
/// <param name="SessionPrice">Minor units each.</param>
/// <param name="Fee">Minor units, before tax; taxed as its own line.</param>
/// <param name="TaxBasisPoints">0..10000.</param>
/// <param name="MostUnits">Largest count of units of a product; takes the tail.</param>
/// <param name="MostMl">Largest volume of the grid, mL; takes the tail.</param>
public sealed record PriceCase(
    double? Nu, double S2, double TauU, double TauW, double TauE, double[] SideFactor,
    double[][] LaxityBone, double[] SideDifference, double[] LaxityShift, double[] BoneShift,
    IReadOnlyList<CommonShift> Shifts, IReadOnlyList<ProductCase> Products, SecondVisit? SecondVisit,
    (int Units, double Probability)[][] Toxin, long ToxinPrice, double[][] Sessions, long SessionPrice,
    long Fee, int TaxBasisPoints, int MostUnits, double MostMl)
{
    /// <summary>Packages of sessions.</summary>
    public IReadOnlyList<UnitPackage> SessionPackages { get; init; } = [];

    /// <summary>What is wrong with it, each with the field's name; empty when nothing is.</summary>
    public IReadOnlyList<string> Faults()
    {
        var faults = new List<string>();
        void Must(bool holds, string field, string reason) { if (!holds) faults.Add($"{field} {reason}"); }
        static bool Sd(double v) => double.IsFinite(v) && v is >= 0 and <= 5;
        static bool Adds(IEnumerable<double> p) => p.Any() && p.All(v => v >= 0) && Math.Abs(p.Sum() - 1) <= SumWithin;
        Must(Nu is null || (double.IsFinite(Nu.Value) && Nu > 0), nameof(Nu), "must be above 0");
        Must(double.IsFinite(S2) && S2 > 0, nameof(S2), "must be above 0");
        Must(Sd(TauU), nameof(TauU), "must be 0 to 5");
        Must(Sd(TauW), nameof(TauW), "must be 0 to 5");
        Must(Sd(TauE), nameof(TauE), "must be 0 to 5");
        Must(SideFactor.Length == SideDifference.Length && SideFactor.All(Sd), nameof(SideFactor), "must hold one factor of 0 to 5 for each level");
        Must(Adds(SideDifference), nameof(SideDifference), "must be probabilities that add up to 1");
        Must(Adds(LaxityBone.SelectMany(row => row)) && LaxityBone.All(row => row.Length == BoneShift.Length), nameof(LaxityBone), "must be probabilities that add up to 1");
        Must(LaxityShift.Length == LaxityBone.Length && LaxityShift.All(v => Math.Abs(v) <= 5), nameof(LaxityShift), "must hold one shift of -5 to 5 for each level");
        Must(BoneShift.All(v => Math.Abs(v) <= 5), nameof(BoneShift), "must hold shifts of -5 to 5");
        Must(Adds(Shifts.Select(s => s.Weight)), nameof(Shifts), "must have weights that add up to 1");
        Must(Shifts.All(s => Math.Abs(s.Delta) <= 5 && s.SharedVariance is >= 0 and <= 25), nameof(Shifts), "must hold shifts of -5 to 5 and variances of 0 to 25");
        Must(Products.Count <= 3, nameof(Products), "must be three at most");
        foreach (var product in Products) faults.AddRange(product.Faults());
        Must(SecondVisit is null || (SecondVisit.Probability is >= 0 and <= 1 && SecondVisit.Share is > 0 and <= 10 && SecondVisit.Sd is >= 0 and <= 5), nameof(SecondVisit), "must have a probability, a share above 0 and an sd of 0 to 5");
        Must(Toxin.Length == LaxityBone.Length && Toxin.All(row => Adds(row.Select(t => t.Probability)) && row.All(t => t.Units is >= 0 and <= 1000)), nameof(Toxin), "must be probabilities that add up to 1 for each laxity level");
        Must(Sessions.Length == LaxityBone.Length && Sessions.All(row => Adds(row)), nameof(Sessions), "must be probabilities that add up to 1 for each laxity level");
        Must(ToxinPrice is >= 0 and <= MostMoney, nameof(ToxinPrice), "must not be below 0");
        Must(SessionPrice is >= 0 and <= MostMoney, nameof(SessionPrice), "must not be below 0");
        faults.AddRange(UnitPackage.Faults(SessionPackages, "sessions"));
        Must(Fee is >= 0 and <= MostMoney, nameof(Fee), "must not be below 0");
        Must(TaxBasisPoints is >= 0 and <= 10000, nameof(TaxBasisPoints), "must be 0 to 10000");
        Must(MostUnits is >= 1 and <= 1000, nameof(MostUnits), "must be 1 to 1000");
        Must(MostMl is >= 1 and <= 1000, nameof(MostMl), "must be 1 to 1000");
        // Beyond these the exact table would no longer fit; no clinic comes near.
        Must(SideFactor.Length <= MostLevels, nameof(SideFactor), $"must hold at most {MostLevels} levels");
        Must(LaxityShift.Length <= MostLevels, nameof(LaxityShift), $"must hold at most {MostLevels} levels");
        Must(BoneShift.Length <= MostLevels, nameof(BoneShift), $"must hold at most {MostLevels} levels");
        Must(Shifts.Count <= 48, nameof(Shifts), "must be 48 at most");
        Must(Toxin.All(row => row.Length <= MostChoices), nameof(Toxin), $"must hold at most {MostChoices} amounts a level");
        Must(Sessions.All(row => row.Length <= MostChoices), nameof(Sessions), $"must hold at most {MostChoices} counts a level");
        Must(Math.Pow(MostUnits + 1, Products.Count) <= MostRows, nameof(MostUnits), "must be 400 at most with two products and 53 with three");
        double cells = (double)LaxityShift.Length * BoneShift.Length * SideFactor.Length;
        Must(cells * Math.Pow(MostUnits + 1, Products.Count) <= MostStates, nameof(MostUnits), "must be smaller with so many levels");
        Must(cells * Shifts.Count * 34 * Toxin.SelectMany(row => row.Select(t => t.Units)).Distinct().Count() * Sessions.Select(row => row.Length).DefaultIfEmpty(0).Max() <= MostStates, nameof(Toxin), "must hold fewer amounts with so many levels and sessions");
        return faults;
    }

    /// <summary>Dearest single price, minor units: a thousand million of a currency with two decimals. Whole totals stay exact.</summary>
    public const long MostMoney = 100_000_000_000;

    /// <summary>How far a list of probabilities may miss 1: what nine printed digits lose, and no more.</summary>
    public const double SumWithin = 1e-7;

    private const int MostLevels = 12;

    private const int MostRows = 160_801;

    private const int MostStates = 16_000_000;

    private const int MostChoices = 64;

    /// <summary>A line with its tax, rounded half up in whole minor units.</summary>
    public long Taxed(long minor) => Money.Taxed(minor, TaxBasisPoints);
}
