namespace AftercarePortal.Clinical.Pricing;

/// <summary>What a course of treatment comes to by a price list, worked out from what was used.</summary>
public static class UsedCost
{
    /// <summary>What one visit used.</summary>
    /// <param name="Ml">mL by product code; 0 leaves it out.</param>
    /// <param name="ToxinUnits">Units of botulinum toxin type A.</param>
    public sealed record Visit(IReadOnlyDictionary<string, double> Ml, double ToxinUnits);

    /// <summary>The total with tax and the fee; null when the list has no price for something that was used.</summary>
    /// <param name="prices">The list of the quote.</param>
    /// <param name="visits">The course, one or more visits.</param>
    /// <param name="sessions">Sessions of skin treatment, 0 or more.</param>
    public static Money? Of(PriceList prices, IReadOnlyList<Visit> visits, int sessions)
    {
        // As the receipt does: each line is taxed and rounded, then added.
        long Taxed(long minor) => minor + (minor * prices.TaxBasisPoints + 5000) / 10000;
        var total = Taxed(prices.Fee ?? 0);
        foreach (var visit in visits)
        {
            foreach (var (code, ml) in visit.Ml.Where(m => m.Value > 0))
            {
                if (!prices.Fillers.TryGetValue(code, out var price)) return null;
                total += Taxed(price.First + (UnitsOf(price, ml) - 1) * price.Next);
            }

            if (visit.ToxinUnits > 0)
            {
                if (prices.ToxinUnit is not { } unit) return null;
                total += Taxed((long)Math.Ceiling(visit.ToxinUnits - 1e-9) * unit);
            }
        }

        if (sessions > 0)
        {
            if (prices.Session is not { } session) return null;
            total += Taxed(sessions * session);
        }

        return new(total, prices.Currency);
    }

    /// <summary>Billed units of one product at one visit: the fewest that hold the amount, but for the tolerance; at least 1.</summary>
    public static int UnitsOf(ProductPrice price, double ml) => Math.Max(1, (int)Math.Ceiling((ml - price.ToleranceMl) / price.UnitMl - 1e-9));
}
