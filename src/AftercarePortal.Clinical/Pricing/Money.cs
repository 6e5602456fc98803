using System.Globalization;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>An amount of money.</summary>
/// <param name="Minor">Minor units of the currency (cents, pence; whole yen), 0 or more in a price range.</param>
/// <param name="Currency">ISO 4217 code; one that is not in use is written with two decimals.</param>
public readonly record struct Money(long Minor, string Currency)
{
    /// <summary>A line with its tax, rounded half up in whole minor units.</summary>
    /// <param name="minor">Minor units before tax, 0 or more.</param>
    /// <param name="basisPoints">Hundredths of a percent, 0..10000.</param>
    public static long Taxed(long minor, int basisPoints) => minor + (minor * basisPoints + 5000) / 10000;

    /// <summary>Without the currency, for example <c>1,200</c>; decimals only when there are any.</summary>
    public string Amount()
    {
        var digits = Pricing.Currency.MinorDigits(Currency) ?? 2;
        var unit = (long)Math.Pow(10, digits);
        return ((decimal)Minor / unit).ToString(Minor % unit == 0 ? "#,##0" : "#,##0." + new string('0', digits), CultureInfo.InvariantCulture);
    }

    /// <summary>For example <c>1,200 USD</c>.</summary>
    public override string ToString() => $"{Amount()} {Currency}";
}
