namespace AftercarePortal.Clinical.Treatment;

/// <summary>An amount of product in millilitres (mL), as drawn up or placed.</summary>
/// <remarks>Kept to 0.01 mL, the finest mark on a 1 mL syringe (common practice, no source).</remarks>
public readonly record struct Volume
{
    private Volume(decimal ml) => Ml = ml;

    /// <summary>Millilitres, 0.00 .. 50.00, at most two decimals. The upper bound guards against a slipped decimal point; it is no dose limit (from memory, unchecked).</summary>
    public decimal Ml { get; }

    /// <summary>Makes a volume from millilitres.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Below 0, above 50 or finer than 0.01 mL.</exception>
    public static Volume OfMl(decimal ml) =>
        ml is >= 0 and <= 50 && decimal.Round(ml, 2) == ml
            ? new(ml)
            : throw new ArgumentOutOfRangeException(nameof(ml), ml, "A volume is 0.00 to 50.00 mL in steps of 0.01.");

    /// <summary>A volume of so many millilitres, or null where <see cref="OfMl"/> would refuse.</summary>
    public static Volume? TryOfMl(decimal? ml) => ml is >= 0 and <= 50 and { } amount && decimal.Round(amount, 2) == amount ? new Volume(amount) : null;
}
