using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Benchmarks;

/// <summary>The same case by random draws, as a plain reading of the model: one product, whose f2 stands at the engine's five nodes.</summary>
internal static class RandomDraws
{
    internal static Dictionary<long, double> Of(PriceCase price, int draws, int seed)
    {
        var random = new Random(seed);
        double? spare = null;
        double Normal()
        {
            if (spare is { } kept) { spare = null; return kept; }
            double r = Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())), angle = 2 * Math.PI * random.NextDouble();
            spare = r * Math.Sin(angle);
            return r * Math.Cos(angle);
        }

        int Pick(IEnumerable<double> of)
        {
            var x = random.NextDouble();
            var last = -1;
            foreach (var p in of)
            {
                last++;
                if ((x -= p) < 0) return last;
            }

            return last;
        }

        double[] f2 = price.Nu is { } nu ? [.. Enumerable.Range(0, 5).Select(i => 1 / MathNet.Numerics.Distributions.Gamma.InvCDF(nu / 2, nu * price.S2 / 2, 1 - (i + 0.5) / 5))] : [price.S2];
        double[] cells = [.. price.LaxityBone.SelectMany(row => row)];
        var bones = price.BoneShift.Length;
        var product = price.Products[0];
        UnitCosts costs = product.Costs(price.MostUnits), sessions = new(price.SessionPrice, price.SessionPrice, price.SessionPackages, 64);
        var sum = new Dictionary<long, int>();
        for (var i = 0; i < draws; i++)
        {
            int cell = Pick(cells), a = Pick(price.SideDifference), g = cell / bones;
            var f = Math.Sqrt(f2[random.Next(f2.Length)]);
            var common = price.LaxityShift[g] + price.BoneShift[cell % bones] + f * (Math.Sqrt(price.Shifts[0].SharedVariance) * Normal() + price.TauU * Normal());
            double ml = 0;
            foreach (var region in product.Regions)
            {
                var here = region.LogMedian + common + f * (Math.Sqrt(region.Variance) * Normal() + price.TauW * Normal());
                for (var side = 0; side < region.Sides; side++) ml += Math.Exp(here + f * price.TauE * price.SideFactor[a] * Normal());
            }

            int Units(double of) => Math.Clamp((int)Math.Ceiling((of - product.Price.ToleranceMl) / product.Price.UnitMl), 1, price.MostUnits);
            var first = Units(ml);
            var total = price.Taxed(costs[first]) + price.Taxed(price.Fee);
            if (price.SecondVisit is { } second && random.NextDouble() < second.Probability)
                total += price.Taxed(costs[Units(first * product.Price.UnitMl * second.Share * Math.Exp(second.Sd * Normal()))]);
            total += price.Taxed(price.Toxin[g][Pick(price.Toxin[g].Select(t => t.Probability))].Units * price.ToxinPrice) + price.Taxed(sessions[Pick(price.Sessions[g])]);
            sum[total] = sum.GetValueOrDefault(total) + 1;
        }

        return sum.ToDictionary(x => x.Key, x => (double)x.Value / draws);
    }
}
