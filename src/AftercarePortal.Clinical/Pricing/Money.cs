using System.Globalization;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>An amount of money.</summary>
/// <param name="Minor">Minor units (cents, pence), 0 or more in a price range.</param>
/// <param name="Currency">ISO 4217 code. Only currencies with two decimals are used here.</param>
public readonly record struct Money(long Minor, string Currency)
{
    /// <summary>For example <c>1,200 USD</c>; cents only when there are any.</summary>
    public override string ToString() =>
        (Minor / 100m).ToString(Minor % 100 == 0 ? "#,##0" : "#,##0.00", CultureInfo.InvariantCulture) + " " + Currency;
}
