using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Testing;
using Xunit;
using static AftercarePortal.Clinical.Tests.Pricing.PricingContent;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Money_of_all_currencies
{
    [Theory]
    [InlineData(123456, "USD", "1,234.56 USD")]
    [InlineData(120000, "GBP", "1,200 GBP")]
    [InlineData(120000, "JPY", "120,000 JPY")]
    [InlineData(1234567, "KWD", "1,234.567 KWD")]
    [InlineData(1200000, "KWD", "1,200 KWD")]
    public void Minor_units_are_those_of_the_currency(long minor, string currency, string says) => Assert.Equal(says, new Money(minor, currency).ToString());

    [Theory]
    [InlineData("EUR", 2)]
    [InlineData("KRW", 0)]
    [InlineData("VND", 0)]
    [InlineData("BHD", 3)]
    [InlineData("CLF", 4)]
    [InlineData("eur", null)]
    [InlineData("XXX", null)]
    [InlineData("DEM", null)]
    [Source("java.util.Currency of OpenJDK 17 (ISO 4217 table of the runtime) and the iso-codes list of currencies in use", at: "getDefaultFractionDigits")]
    public void Decimals_are_those_of_the_standard(string code, int? digits) => Assert.Equal(digits, Currency.MinorDigits(code));

    [Fact]
    public void A_range_in_yen_has_whole_yen_and_steps_of_yen()
    {
        var yen = Prices with { Currency = "JPY", Session = null, Fee = 5500, Fillers = new Dictionary<string, ProductPrice> { ["caha-filler"] = new(1.5, 0.1, 90000, 85001) } };
        var range = Range(Nora(), yen);
        Assert.All([range.Central.From.Minor, range.Central.To.Minor, range.AtMost.Minor], end => Assert.Equal(0, end % 1000));
        Assert.Equal(5500 + 90000, range.Chances[0].Total);
        Assert.DoesNotContain('.', range.AtMost.ToString());
    }

    [Fact]
    public void A_price_of_thousands_of_millions_is_added_up_exactly()
    {
        var dear = Prices with { Currency = "IDR", Session = null, Fee = 0, TaxBasisPoints = 1100, Fillers = new Dictionary<string, ProductPrice> { ["caha-filler"] = new(1.5, 0.1, 99_999_999_999, 99_999_999_999) } };
        var range = Range(Nora(), dear);
        Assert.Equal(99_999_999_999 + 11_000_000_000, range.Chances[0].Total);
        Assert.True(range.Central.To.Minor % MoneyStep.For(range.Quantile(0.1), range.Quantile(0.9)) == 0);
    }

    [Theory]
    [InlineData(120, 340, 0, 20)]
    [InlineData(12_000, 34_000, 2, 2_000)]
    [InlineData(120_000, 340_000, 3, 20_000)]
    [InlineData(0, 0, 0, 5)]
    [InlineData(20_000_000, 95_000_000, 0, 5_000_000)]
    public void Steps_grow_with_the_width_in_units_of_the_currency(long from, long to, int digits, long step) => Assert.Equal(step, MoneyStep.For(from, to, digits));

    [Fact]
    public void A_currency_nobody_uses_is_refused_in_plain_words() =>
        Assert.Contains("the clinic's price list names no currency that is in use", Refused(Nora(), Prices with { Currency = "XXX" }));
}
