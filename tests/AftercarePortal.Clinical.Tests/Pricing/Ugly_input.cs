using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Web.Commands;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

/// <summary>What people and price lists really look like, through the command: a clear error by field, or a range that says why it is wider.</summary>
public sealed class Ugly_input
{
    private const string Jaw = "{'today':'2026-11-25','answers':{'birth-date':'1981-05-04','sex':'female','earlier-filler':'no','side-difference':'none'},'wishes':{'wish-regions':['jaw-angle','jaw-body'],'wish-product':'caha-filler','wish-strength':'clear'}}";

    private static (int Code, JsonNode? Range, string Error) Ask(string given)
    {
        using StringWriter output = new(), error = new();
        var code = RangeCommand.Run([], new StringReader(given.Replace('\'', '"')), output, error, CandidacyContent.Folder, new LocalDate(2026, 11, 25));
        return (code, code == 0 ? JsonNode.Parse(output.ToString()) : null, error.ToString());
    }

    private static string With(string more) => Jaw[..^1] + "," + more + "}";

    private static string Prices(string unit, string tolerance, long first, string currency = "USD", string rest = "") =>
        With($"'prices':{{'currency':'{currency}','fillers':{{'caha-filler':{{'unit_ml':{unit},'tolerance_ml':{tolerance},'first':{first}}}}},'fee':0{rest}}}");

    private static string Because(JsonNode? range) => range!["cannot_say_yet"]?.ToJsonString() ?? "";

    private static double Quantile(JsonNode? range, string level) => range!["quantiles"]![level]!.GetValue<double>();

    [Theory]
    [InlineData("'wish-product':['caha-filler','ha-filler']", "wishes.wish-product: this question takes one answer")]
    [InlineData("'wish-product':['caha-filler','not-sure']", "wishes.wish-product: not sure cannot stand beside another answer")]
    [InlineData("'wish-regions':['not-sure','chin']", "wishes.wish-regions: not sure cannot stand beside another answer")]
    [InlineData("'wish-strength':['subtle','strong']", "wishes.wish-strength: this question takes one answer")]
    public void Wishes_that_contradict_each_other_are_refused_by_their_question(string wishes, string says)
    {
        var (code, _, error) = Ask($"{{'wishes':{{{wishes}}}}}");
        Assert.Equal(1, code);
        Assert.Contains(says, error);
    }

    [Fact]
    public void A_wish_left_open_is_wider_than_either_answer_and_says_why()
    {
        double Width(string product) => Ask(Jaw.Replace("caha-filler", product)) is var (_, range, _) ? Quantile(range, "0.99") - Quantile(range, "0.01") : 0;
        var open = Ask(Jaw.Replace("'wish-strength':'clear'", "'wish-strength':'not-sure'")).Range;
        Assert.True(Quantile(open, "0.95") - Quantile(open, "0.05") > Quantile(Ask(Jaw).Range, "0.95") - Quantile(Ask(Jaw).Range, "0.05"));
        Assert.Contains("how much change you would like", open!["left_open"]!.ToJsonString());
        Assert.True(Width("unsure") >= Math.Min(Width("caha-filler"), Width("ha-filler")));
    }

    [Fact]
    public void A_product_wished_for_the_neck_alone_is_no_filler_and_changes_nothing()
    {
        string Neck(string product) => $"{{'today':'2026-11-25','answers':{{'birth-date':'1981-05-04'}},'wishes':{{'wish-regions':['neck-bands'],'wish-product':'{product}'}}}}";
        var (with, without) = (Ask(Neck("caha-filler")).Range!, Ask(Neck("unsure")).Range!);
        Assert.Equal(with["atoms"]!.ToJsonString(), without["atoms"]!.ToJsonString());
        Assert.DoesNotContain(with["lines"]!.AsArray(), l => l!["id"]!.GetValue<string>() == "filler");
    }

    [Fact]
    public void An_empty_price_list_names_everything_the_wish_needs()
    {
        var (code, range, _) = Ask(With("'prices':{'currency':'USD'}"));
        Assert.Equal(0, code);
        Assert.Contains("no price for CaHA filler", Because(range));
        Assert.Contains("whether it charges a fee", Because(range));
        Assert.Contains("not an offer", range!["caution"]!.GetValue<string>());
        Assert.Contains("currency", Ask(With("'prices':{}")).Error);
    }

    [Theory]
    [InlineData("'fillers':{'caha-filler':{'unit_ml':1.5,'tolerance_ml':0.1,'first':0}}", "prices/fillers/caha-filler/first:")]
    [InlineData("'fillers':{'caha-filler':{'unit_ml':1.5,'tolerance_ml':0.1,'first':100,'next':0}}", "prices/fillers/caha-filler/next:")]
    [InlineData("'toxin_unit':0", "prices/toxin_unit:")]
    [InlineData("'session':0", "prices/session:")]
    public void A_price_of_nothing_is_one_that_was_not_set_and_is_refused_by_name(string item, string field)
    {
        var (code, _, error) = Ask(With($"'prices':{{'currency':'USD',{item},'fee':0}}"));
        Assert.Equal(1, code);
        Assert.StartsWith(field, error);
    }

    [Fact]
    public void Only_a_fee_may_be_nothing_and_then_there_is_no_line_of_it() =>
        Assert.DoesNotContain(Ask(Prices("1.5", "0.1", 60000)).Range!["lines"]!.AsArray(), l => l!["id"]!.GetValue<string>() == "fee");

    [Fact]
    public void Half_a_syringe_at_half_the_price_never_costs_more_than_whole_ones()
    {
        var (half, whole) = (Ask(Prices("0.75", "0.1", 30000)).Range, Ask(Prices("1.5", "0.1", 60000)).Range);
        foreach (var level in new[] { "0.05", "0.1", "0.25", "0.5", "0.75", "0.9", "0.95" }) Assert.True(Quantile(half, level) <= Quantile(whole, level), level);
    }

    [Fact]
    public void Billing_by_the_tenth_of_a_millilitre_follows_the_amount_and_cuts_nothing_off()
    {
        var range = Ask(Prices("0.1", "0", 4000)).Range!;
        // First visit alone: the 90th amount in tenths, rounded up, is what the line's upper end costs.
        var line = range["lines"]!.AsArray().Single(l => l!["id"]!.GetValue<string>() == "filler")!;
        var ml = range["amount_percentiles"]![89]!.GetValue<double>();
        Assert.InRange(line["span"]!["to"]!.GetValue<long>() / 4000.0, 10 * ml - 0.01, 10 * ml + 1.01);
        Assert.True(range["atoms"]!.AsArray()[^1]![0]!.GetValue<long>() > 4000 * 100);
    }

    [Fact]
    public void A_syringe_larger_than_any_face_needs_is_one_syringe()
    {
        var range = Ask(Prices("50", "0.1", 90000)).Range!;
        Assert.Equal((90000, 90000), (Quantile(range, "0.01"), Quantile(range, "0.5")));
        Assert.Contains("50 mL: 1 at the first visit", range["lines"]!.ToJsonString());
    }

    [Theory]
    [InlineData("0.05", "0", "unit_ml")]
    [InlineData("-1", "0", "unit_ml")]
    [InlineData("1.5", "-0.1", "tolerance_ml")]
    [InlineData("1.5", "1.6", "tolerance_ml")]
    public void A_unit_nobody_bills_and_a_tolerance_beyond_a_unit_are_refused(string unit, string tolerance, string field) =>
        Assert.Contains(Ask(Prices(unit, tolerance, 60000)).Error.Split('\n'), line => line.StartsWith($"prices/fillers/caha-filler/{field}:", StringComparison.Ordinal));

    [Theory]
    [InlineData("JPY", 90000, "90,000 JPY")]
    [InlineData("KWD", 180000, "180 KWD")]
    [InlineData("USD", 60000, "600 USD")]
    public void Money_has_the_decimals_of_its_currency(string currency, long first, string says)
    {
        var range = Ask(Prices("50", "0.1", first, currency)).Range!;
        Assert.Contains(says, range["says"]!.ToJsonString());
        Assert.All(Ask(Prices("1.5", "0.1", first, currency, ",'tax_basis_points':0")).Range!["atoms"]!.AsArray(), a => Assert.Equal(0, a![0]!.GetValue<long>() % first));
    }

    [Theory]
    [InlineData("USDX")]
    [InlineData("usd")]
    [InlineData("XXX")]
    public void A_currency_nobody_pays_in_is_refused(string currency) => Assert.StartsWith("prices/currency:", Ask(Prices("1.5", "0.1", 60000, currency)).Error);

    [Theory]
    [InlineData("'exam':{'gonial_left':12,'gonial_right':120}", "the angle of the jaw on the left must be 80 to 170 degrees")]
    [InlineData("'exam':{'laxity':7}", "laxity found at the examination must be a level from 0 to 3")]
    [InlineData("'exam':{'resistance':3}", "resistance expected at the examination must be a level from 0 to 2")]
    public void A_measure_that_cannot_be_is_said_by_name_instead_of_a_range(string exam, string says) => Assert.Contains(says, Because(Ask(With(exam)).Range));

    [Fact]
    public void Measures_that_are_odd_or_half_there_are_kept_and_said()
    {
        Assert.Contains("further apart than is usual", Ask(With("'exam':{'gonial_left':95,'gonial_right':150}")).Range!["notes"]!.ToJsonString());
        var (one, none) = (Ask(With("'exam':{'gonial_left':120}")).Range!, Ask(Jaw).Range!);
        Assert.Contains("on one side only", one["notes"]!.ToJsonString());
        Assert.Equal(none["atoms"]!.ToJsonString(), one["atoms"]!.ToJsonString());
        var (much, some) = (Ask(With("'exam':{'resistance':2}")).Range!, Ask(With("'exam':{'resistance':0}")).Range!);
        double Width(JsonNode range) => Math.Log(range["amount_percentiles"]![89]!.GetValue<double>() / range["amount_percentiles"]![9]!.GetValue<double>());
        Assert.True(Width(much) > Width(some));
        Assert.Contains("tissue that resists", much["notes"]!.ToJsonString());
    }

    [Theory]
    [InlineData("1e-320")]
    [InlineData("1e400")]
    [InlineData("-5")]
    [InlineData("\"much\"")]
    public void A_number_out_of_this_world_is_refused_by_its_field(string fee)
    {
        var (code, _, error) = Ask(With($"'prices':{{'currency':'USD','fillers':{{'caha-filler':{{'unit_ml':1.5,'tolerance_ml':0.1,'first':60000}}}},'fee':{fee}}}"));
        Assert.Equal(1, code);
        Assert.StartsWith("prices/fee:", error);
    }
}
