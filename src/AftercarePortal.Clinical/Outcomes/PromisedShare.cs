namespace AftercarePortal.Clinical.Outcomes;

/// <summary>The share of what comes that a clinic's ranges promise to hold: the clinic's choice in whole hundredths.</summary>
public static class PromisedShare
{
    /// <summary>8 in 10, where nobody chose.</summary>
    public const double Usual = 0.8;

    /// <summary>Less would be a guess, not a range.</summary>
    public const double Least = 0.5;

    /// <summary>More would hang on the far ends of the model, which a clinic's few cases never test.</summary>
    public const double Most = 0.95;

    /// <summary>Whether a clinic may choose it.</summary>
    public static bool Allows(double share) => share is >= Least and <= Most;

    /// <summary>The share it leaves outside, without the last bits of a subtraction: 0.2 for 0.8.</summary>
    public static double Outside(double share) => Math.Round(1 - share, 10);

    /// <summary>The levels between which it lies, each as far from one half, 0..1.</summary>
    public static (double Lower, double Upper) Levels(double share) => (0.5 - share / 2, 0.5 + share / 2);

    /// <summary>For example 8 and 10, or 85 and 100 where tenths do not say it.</summary>
    public static (int Held, int Of) Counted(double share)
    {
        var hundredths = (int)Math.Round(100 * share);
        return hundredths % 10 == 0 ? (hundredths / 10, 10) : (hundredths, 100);
    }

    /// <summary>For example <c>8 in 10</c>.</summary>
    public static string Says(double share) => Counted(share) is var (held, of) ? $"{held} in {of}" : "";
}
