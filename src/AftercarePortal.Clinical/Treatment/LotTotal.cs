using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>How much of one lot was placed, against what was made ready of it.</summary>
/// <param name="ProductClass">What it is; amounts are units for botulinum toxin type A, mL for everything else.</param>
/// <param name="Lot">Lot as first written.</param>
/// <param name="Placed">Sum of its placements.</param>
/// <param name="Drawn">What was made ready; null when nobody wrote it down.</param>
public sealed record LotTotal(ProductClass ProductClass, string Lot, decimal Placed, decimal? Drawn)
{
    /// <summary>What is left of it, negative when more was placed than made ready; null when that is not known.</summary>
    public decimal? Left => Drawn - Placed;

    /// <summary>The totals of every lot, in the order they were written. One lot in two spellings is one lot.</summary>
    public static IReadOnlyList<LotTotal> Of(IReadOnlyList<Placement> placements, IReadOnlyList<DrawnUp> drawn) =>
    [
        .. placements.Select(p => (p.ProductClass, p.Lot, Placed: p.Units ?? p.Volume?.Ml ?? 0, Drawn: (decimal?)null))
            .Concat(drawn.Select(d => (d.ProductClass, d.Lot, Placed: 0m, Drawn: (decimal?)d.Amount)))
            .GroupBy(line => (line.ProductClass, LotKey.Of(line.Lot)))
            .Select(lot => new LotTotal(
                lot.Key.ProductClass, lot.First().Lot, lot.Sum(line => line.Placed), lot.Any(line => line.Drawn is not null) ? lot.Sum(line => line.Drawn) : null)),
    ];
}
