namespace AftercarePortal.Clinical.Pricing;

/// <summary>What became of a range once more was known.</summary>
/// <param name="Before">Width of the central range before, minor units.</param>
/// <param name="After">Width after.</param>
/// <param name="Moved">Middle after less middle before, minor units.</param>
/// <param name="Currency">ISO 4217.</param>
public sealed record RangeChange(long Before, long After, long Moved, string Currency)
{
    /// <summary>Compares two ranges of one wish.</summary>
    /// <exception cref="ArgumentException">Two currencies.</exception>
    public static RangeChange Of(PriceRange before, PriceRange after)
    {
        var (b, a) = (before.Central, after.Central);
        if (b.From.Currency != a.From.Currency) throw new ArgumentException("Two ranges of one wish have one currency.", nameof(after));
        return new(b.To.Minor - b.From.Minor, a.To.Minor - a.From.Minor, (a.From.Minor + a.To.Minor - b.From.Minor - b.To.Minor) / 2, b.From.Currency);
    }

    /// <summary>By how many percent it is narrower, 0..100; negative when it is wider.</summary>
    public int Percent => Before == 0 ? 0 : (int)Math.Round(100.0 * (Before - After) / Before);

    /// <summary>In plain words. A range can become wider: what is found may make more product likely.</summary>
    public string Says()
    {
        var width = (Before - After) switch
        {
            > 0 => $"The examination narrowed the range by {Percent} percent, from {new Money(Before, Currency)} wide to {new Money(After, Currency)}.",
            0 => $"The examination left the range as wide as it was, {new Money(After, Currency)}.",
            _ => $"The examination made the range wider, from {new Money(Before, Currency)} to {new Money(After, Currency)}.",
        };
        return Moved == 0 ? width : $"{width} Its middle moved {(Moved > 0 ? "up" : "down")} by {new Money(Math.Abs(Moved), Currency)}.";
    }
}
