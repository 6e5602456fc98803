namespace AftercarePortal.Clinical.Pricing;

/// <summary>What a course of treatment comes to by a price list, worked out from what was used.</summary>
public static class UsedCost
{
    /// <summary>One filler class at one visit.</summary>
    /// <param name="Code">Product code of the list.</param>
    /// <param name="MlByProduct">mL of each product of the class, by its name: what is left in a syringe of one is no use for another.</param>
    /// <param name="Opened">Syringes that were made ready, 0 when nobody wrote it down. Each is billed as one unit at least.</param>
    /// <param name="Regions">Codes of every region it went to.</param>
    public sealed record Filler(string Code, IReadOnlyDictionary<string, double> MlByProduct, int Opened, IReadOnlyCollection<string> Regions);

    /// <summary>What one visit used.</summary>
    /// <param name="Fillers">One a class.</param>
    /// <param name="ToxinUnits">Units of botulinum toxin type A.</param>
    public sealed record Visit(IReadOnlyList<Filler> Fillers, double ToxinUnits);

    /// <summary>The total with tax and the fee, packages charged where they cost less; null when the list has no price for something that was used.</summary>
    /// <param name="prices">The list of the quote.</param>
    /// <param name="visits">The course, one or more visits.</param>
    /// <param name="sessions">Sessions of skin treatment, 0 or more.</param>
    public static Money? Of(PriceList prices, IReadOnlyList<Visit> visits, int sessions)
    {
        // As the receipt does: each line is taxed and rounded, then added.
        var total = prices.Taxed(prices.Fee ?? 0);
        foreach (var visit in visits)
        {
            foreach (var filler in visit.Fillers.Where(f => f.MlByProduct.Values.Any(ml => ml > 0)))
            {
                if (!prices.Fillers.TryGetValue(filler.Code, out var price)) return null;
                total += Line(prices, filler.Code, UnitsOf(price, filler), filler.Regions);
            }

            if (visit.ToxinUnits > 0)
            {
                if (prices.ToxinUnit is not { } unit) return null;
                total += prices.Taxed((long)Math.Ceiling(visit.ToxinUnits - 1e-9) * unit);
            }
        }

        if (sessions > 0)
        {
            if (prices.Session is null) return null;
            total += Line(prices, PricePackage.Sessions, sessions, []);
        }

        return new(total, prices.Currency);
    }

    /// <summary>Billed units of one product at one visit: the fewest that hold the amount, but for the tolerance; at least 1.</summary>
    public static int UnitsOf(ProductPrice price, double ml) => Math.Max(1, (int)Math.Ceiling((ml - price.ToleranceMl) / price.UnitMl - 1e-9));

    /// <summary>Billed units of one class: those of each of its products, and no fewer than were opened.</summary>
    public static int UnitsOf(ProductPrice price, Filler filler) => Math.Max(filler.Opened, filler.MlByProduct.Values.Where(ml => ml > 0).Sum(ml => UnitsOf(price, ml)));

    private static long Line(PriceList prices, string of, int units, IReadOnlyCollection<string> regions)
    {
        var (first, next) = prices.UnitOf(of)!.Value;
        return prices.Taxed(new UnitCosts(first, next, [.. prices.PackagesFor(of, regions).Select(p => p.Numbers)], units)[units]);
    }
}
