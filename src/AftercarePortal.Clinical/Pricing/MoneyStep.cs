namespace AftercarePortal.Clinical.Pricing;

/// <summary>Rounds money outwards, so that a range never looks more exact than it is.</summary>
public static class MoneyStep
{
    private const long Usual = 1000;

    /// <summary>The step for a range: the largest of 5, 10, 20, 50, 100, 200, 500, 1000 whole units of which 8 fit into the width; else 5.</summary>
    /// <remarks>Where money counts in millions, so that 1000 steps of 1000 fit, the row goes on: 2000, 5000 and so on.</remarks>
    /// <param name="from">Lower end, minor units.</param>
    /// <param name="to">Upper end, minor units.</param>
    /// <param name="digits">Decimals of the currency, 0..4: <see cref="Currency.MinorDigits"/>.</param>
    /// <param name="goesOn">False keeps to the row as the method page has it, also where money counts in millions.</param>
    /// <returns>Minor units.</returns>
    public static long For(long from, long to, int digits = 2, bool goesOn = true)
    {
        var unit = (long)Math.Pow(10, digits);
        var width = to - from;
        var most = goesOn && width / unit >= Usual * Usual ? long.MaxValue / 100 : Usual * unit;
        var step = 5 * unit;
        for (var i = 0; ; i++)
        {
            // 5, 10, 20, 50, 100 ...
            var next = i % 3 == 1 ? step * 2 : i % 3 == 2 ? step / 2 * 5 : step * 2;
            if (next > most || next > width / 8) return step;
            step = next;
        }
    }

    /// <summary>Both ends moved outwards to whole steps.</summary>
    public static (long From, long To) Outwards(long from, long to, long step) => (Down(from, step), Up(to, step));

    /// <summary>The next whole step at or below.</summary>
    public static long Down(long minor, long step) => (long)Math.Floor((decimal)minor / step) * step;

    /// <summary>The next whole step at or above.</summary>
    public static long Up(long minor, long step) => (long)Math.Ceiling((decimal)minor / step) * step;
}
