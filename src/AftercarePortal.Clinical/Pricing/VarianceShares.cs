using System.Runtime.CompilerServices;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Shapley effects: how much of the variance each unknown answers for.</summary>
/// <remarks>Owen 2014; Song, Nelson and Staum 2016 (from memory, unchecked). Exact over a finite table; unknowns may depend on each other.</remarks>
public static class VarianceShares
{
    /// <summary>One amount of variance a player; they add up to the variance of the table's means.</summary>
    /// <param name="sizes">How many values each player has.</param>
    /// <param name="probability">By state, the last player running fastest.</param>
    /// <param name="mean">Conditional mean by state.</param>
    /// <returns>By player; 0 for one with a single value.</returns>
    public static double[] Of(int[] sizes, double[] probability, double[] mean)
    {
        // An unknown with one value is known: it takes no part and has no share.
        int[] open = [.. Enumerable.Range(0, sizes.Length).Where(i => sizes[i] > 1)];
        var shares = new double[sizes.Length];
        foreach (var (share, i) in OfOpen([.. open.Select(i => sizes[i])], probability, mean).Zip(open)) shares[i] = share;
        return shares;
    }

    private static double[] OfOpen(int[] sizes, double[] probability, double[] mean)
    {
        var players = sizes.Length;
        var value = new double[1 << players];
        var total = 0.0;
        for (var i = 0; i < mean.Length; i++) total += probability[i] * mean[i];
        var weighted = new double[mean.Length];
        // Around the mean, so that no large numbers cancel.
        for (var i = 0; i < mean.Length; i++) weighted[i] = probability[i] * (mean[i] - total);
        // Room for one table a depth: each player summed out at least halves it.
        var room = new (double[], double[])[players + 1];
        room[0] = (probability, weighted);
        for (var depth = 1; depth <= players; depth++) room[depth] = (new double[mean.Length >> depth], new double[mean.Length >> depth]);
        Visit(room, 0, mean.Length, [.. sizes], 0, (1 << players) - 1, value);
        var shares = new double[players];
        var factorial = new double[players + 1];
        factorial[0] = 1;
        for (var i = 1; i <= players; i++) factorial[i] = factorial[i - 1] * i;
        for (var mask = 0; mask < value.Length; mask++)
        {
            var members = System.Numerics.BitOperations.PopCount((uint)mask);
            for (var p = 0; p < players; p++)
                if ((mask & (1 << p)) == 0)
                    shares[p] += factorial[members] * factorial[players - members - 1] / factorial[players] * (value[mask | (1 << p)] - value[mask]);
        }

        return shares;
    }

    // Each subset is reached once, by summing players out in rising order; a summed-out player has size 1.
    private static void Visit((double[] Probability, double[] Weighted)[] room, int depth, int length, int[] sizes, int from, int mask, double[] value)
    {
        value[mask] = Variance(room[depth].Probability.AsSpan(0, length), room[depth].Weighted.AsSpan(0, length));
        for (var player = from; player < sizes.Length; player++)
        {
            int size = sizes[player], inner = 1, rest = length / size;
            for (var later = player + 1; later < sizes.Length; later++) inner *= sizes[later];
            SumOut(room[depth].Probability.AsSpan(0, length), room[depth + 1].Probability.AsSpan(0, rest), size, inner);
            SumOut(room[depth].Weighted.AsSpan(0, length), room[depth + 1].Weighted.AsSpan(0, rest), size, inner);
            sizes[player] = 1;
            Visit(room, depth + 1, rest, sizes, player + 1, mask & ~(1 << player), value);
            sizes[player] = size;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static double Variance(ReadOnlySpan<double> probability, ReadOnlySpan<double> weighted)
    {
        double variance = 0;
        for (var i = 0; i < probability.Length; i++)
            if (probability[i] > 0) variance += weighted[i] * weighted[i] / probability[i];
        return variance;
    }

    // The hot loop: a first call should not wait for the compiler to notice it.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void SumOut(ReadOnlySpan<double> table, Span<double> sum, int size, int inner)
    {
        sum.Clear();
        if (inner == 1)
        {
            for (int from = 0, to = 0; from < table.Length; to++)
                for (var s = 0; s < size; s++) sum[to] += table[from++];
            return;
        }

        for (int from = 0, to = 0; from < table.Length; to += inner)
            for (var s = 0; s < size; s++, from += inner) WeightedRow.Add(sum.Slice(to, inner), table.Slice(from, inner));
    }
}
