namespace AftercarePortal.Clinical.Pricing;

/// <summary>Rounds money outwards, so that a range never looks more exact than it is.</summary>
public static class MoneyStep
{
    private static readonly long[] Steps = [100000, 50000, 20000, 10000, 5000, 2000, 1000, 500];

    /// <summary>The step for a range: the largest of 5, 10, 20, 50, 100, 200, 500, 1000 whole units of which 8 fit into the width; else 5.</summary>
    /// <param name="from">Lower end, minor units.</param>
    /// <param name="to">Upper end, minor units.</param>
    /// <returns>Minor units.</returns>
    public static long For(long from, long to) => Steps.FirstOrDefault(step => 8 * step <= to - from, Steps[^1]);

    /// <summary>Both ends moved outwards to whole steps.</summary>
    public static (long From, long To) Outwards(long from, long to, long step) => (Down(from, step), Up(to, step));

    /// <summary>The next whole step at or below.</summary>
    public static long Down(long minor, long step) => (long)Math.Floor((decimal)minor / step) * step;

    /// <summary>The next whole step at or above.</summary>
    public static long Up(long minor, long step) => (long)Math.Ceiling((decimal)minor / step) * step;
}
