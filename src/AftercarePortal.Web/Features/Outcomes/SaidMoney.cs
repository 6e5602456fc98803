using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Worked-out money, said no more exactly than the price ranges it stands beside.</summary>
internal static class SaidMoney
{
    /// <summary>A mean score to the nearest step a range of that width would have.</summary>
    /// <param name="minor">Minor units, 0 or more.</param>
    /// <param name="currency">ISO 4217 code.</param>
    public static Money Score(double minor, string currency) => new(Nearest((long)Math.Round(minor), MoneyStep.For(0, (long)minor, Digits(currency))), currency);

    /// <summary>What a course came to, in the smallest step of a range. Outside of the range it is never said as one of its ends, which are whole steps.</summary>
    public static Money CameTo(Money total, MoneySpan range)
    {
        var step = MoneyStep.For(0, 0, Digits(total.Currency));
        var said = total.Minor > range.To.Minor ? MoneyStep.Up(total.Minor, step) : total.Minor < range.From.Minor ? MoneyStep.Down(total.Minor, step) : Nearest(total.Minor, step);
        return total with { Minor = said };
    }

    private static long Nearest(long minor, long step) => MoneyStep.Down(minor + step / 2, step);

    private static int Digits(string currency) => Currency.MinorDigits(currency) ?? 2;
}
