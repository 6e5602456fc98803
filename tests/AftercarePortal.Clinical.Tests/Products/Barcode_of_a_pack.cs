using AftercarePortal.Clinical.Products;
using AftercarePortal.Testing;
using NodaTime;
using NodaTime.Text;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Products;

public sealed class Barcode_of_a_pack
{
    private const char Gs = '\u001D';
    private static readonly LocalDate Today = new(2026, 11, 25);

    private static Gs1Pack Made(string scanned) => Assert.IsType<Gs1Pack.Outcome.Made>(Gs1Pack.Read(scanned, Today)).Pack;

    private static IReadOnlyList<Gs1Pack> Doubtful(string scanned) => Assert.IsType<Gs1Pack.Outcome.Doubtful>(Gs1Pack.Read(scanned, Today)).Ways;

    private static Gs1Fault Refused(string scanned) => Assert.IsType<Gs1Pack.Outcome.Refused>(Gs1Pack.Read(scanned, Today)).Why;

    [Fact]
    [Source("Wiki of Solidsoft Reply's GS1 AI parser, page GS1 Data Example (stored copy read)", at: "010506091751001110628S93R, separator, 17241000218898847482518646")]
    [Source("GS1 General Specifications 7.12, from memory", at: "day 00 is the last day of the month")]
    public void A_published_example_with_day_00_is_read() =>
        Assert.Equal(new("05060917510011", "628S93R", new LocalDate(2024, 10, 31), "8898847482518646"), Made($"010506091751001110628S93R{Gs}17241000218898847482518646"));

    [Theory]
    [Source("GS1 AISBL, gs1-barcode-engine, src/c-lib tests, test_ai_parseAIdata (stored copy read)", at: "(01)12345678901231, (10)12345 and both; no separator after 01")]
    [InlineData("(01)12345678901231", "12345678901231", null)]
    [InlineData("0112345678901231", "12345678901231", null)]
    [InlineData("(10)12345", null, "12345")]
    [InlineData("1012345", null, "12345")]
    [InlineData("(01)12345678901231(10)12345", "12345678901231", "12345")]
    [InlineData("01123456789012311012345", "12345678901231", "12345")]
    public void GS1s_own_test_strings_are_read_printed_and_scanned(string scanned, string? gtin, string? lot) =>
        Assert.Equal(new(gtin, lot, null, null), Made(scanned));

    [Theory]
    [Source("GS1 General Specifications, symbology identifiers of GS1-128, GS1 DataMatrix, GS1 DataBar, GS1 QR Code, from memory", at: "]C1 ]d2 ]e0 ]Q3")]
    [InlineData("]C1")]
    [InlineData("]d2")]
    [InlineData("]e0")]
    [InlineData("]Q3")]
    public void The_scanners_word_for_the_kind_of_code_is_passed_over(string identifier) => Assert.Equal("ABC123", Made($"{identifier}01054123450000131729033110ABC123").Lot);

    [Fact]
    public void Order_and_a_leading_or_closing_separator_do_not_matter()
    {
        var expected = new Gs1Pack("05412345000013", "ABC123", new LocalDate(2029, 3, 31), "S1");
        Assert.Equal(expected, Made($"{Gs}10ABC123{Gs}17290331{Gs}21S1{Gs}0105412345000013{Gs}"));
        Assert.Equal(expected, Made("(21)S1 (17)290331(10)ABC123(01)05412345000013\r\n"));
    }

    [Fact]
    public void What_is_printed_is_read_back_as_the_same()
    {
        var pack = Made($"010506091751001110628S93R{Gs}17281000218898847482518646");
        Assert.Equal(pack, Made(pack.Printed));
    }

    [Fact]
    public void A_parenthesis_may_stand_in_a_lot() => Assert.Equal("A(4)B", Made("(17)290331(10)A(4)B").Lot);

    [Fact]
    [Source("GS1 General Specifications 7.12, from memory", at: "two-digit years: 51 to 99 above this year is the last century, 50 to 99 below it the next")]
    public void The_century_is_the_nearest() =>
        Assert.Equal([2076, 1977, 2026, 2000], new[] { "76", "77", "26", "00" }.Select(yy => Made($"17{yy}0101").Expiry!.Value.Year));

    [Theory]
    [Source("GS1, How to calculate a check digit, worked example, from memory", at: "629104150021 has check digit 3")]
    [InlineData("(01)06291041500213", true)]
    [InlineData("(01)06291041500214", false)]
    [InlineData("(01)06291041500231", false)]
    public void The_check_digit_must_fit(string scanned, bool fits) => Assert.Equal(fits, Gs1Pack.Read(scanned, Today) is Gs1Pack.Outcome.Made);

    [Theory]
    [InlineData("", Gs1Fault.NotGs1)]
    [InlineData("D-114", Gs1Fault.NotGs1)]
    [InlineData("(99)X", Gs1Fault.NotGs1)]
    [InlineData("(10)", Gs1Fault.FieldWrong)]
    [InlineData("(10)A B", Gs1Fault.FieldWrong)]
    [InlineData("(10)123456789012345678901", Gs1Fault.FieldWrong)]
    [InlineData("(01)1234567890123", Gs1Fault.FieldWrong)]
    [InlineData("(17)29033١", Gs1Fault.FieldWrong)]
    [InlineData("(10)A(10)B", Gs1Fault.FieldTwice)]
    [InlineData("(17)291301", Gs1Fault.DateWrong)]
    [InlineData("(17)270229", Gs1Fault.DateWrong)]
    public void What_cannot_be_read_is_refused_with_its_reason(string scanned, Gs1Fault why) => Assert.Equal(why, Refused(scanned));

    [Fact]
    [Source("Stack Overflow, question 75694709 and its answer (stored copy read)", at: "01012345678912311700112210123421555666777, separators dropped: meant (10)1234 (21)555666777, reads as well as (10)123421555666777; no algorithm can tell")]
    public void Where_the_scanner_dropped_the_separator_between_lot_and_serial_no_lot_is_chosen()
    {
        var ways = Doubtful("01012345678912311700112210123421555666777");
        Assert.Contains(new("01234567891231", "1234", new LocalDate(2000, 11, 22), "555666777"), ways);
        Assert.Contains(new("01234567891231", "123421555666777", new LocalDate(2000, 11, 22), null), ways);
        Assert.All(ways, way => Assert.Equal(new LocalDate(2000, 11, 22), way.Expiry));
    }

    [Theory]
    [InlineData("10ABC12317290331", "ABC123", "2029-03-31", null)]
    [InlineData("010541234500001310ABC12317290331", "ABC123", "2029-03-31", null)]
    [InlineData("10ABC123172903312177", "ABC123", "2029-03-31", "77")]
    [InlineData("17290331" + "10ABC123240R55", "ABC123", "2029-03-31", null)]
    [InlineData("17290331" + "10ABC12311260101", "ABC123", "2029-03-31", null)]
    [InlineData("17290331" + "10ABC12315290131", "ABC123", "2029-03-31", null)]
    [InlineData("17290331" + "2177" + "10ABC123", "ABC123", "2029-03-31", "77")]
    [InlineData("17290331" + "10ABC123-2026-21SERIAL-0000000001", "ABC123-2026-", "2029-03-31", "SERIAL-0000000001")]
    public void Whatever_may_have_run_into_the_lot_leaves_it_in_doubt(string scanned, string lot, string expiry, string? serial) =>
        Assert.Contains(Doubtful(scanned), way => way.Lot == lot && way.Expiry == LocalDatePattern.Iso.Parse(expiry).Value && way.Serial == serial);

    [Theory]
    [Source("GS1 General Specifications, section 3, application identifiers 30, 37, 91 to 99, 241, 250, 251, 710 to 716, 7003, 8008, from memory", at: "their length and letters")]
    [InlineData("10ABC123" + "91X7")]
    [InlineData("10ABC123" + "99PZN01")]
    [InlineData("10ABC123" + "3012")]
    [InlineData("10ABC123" + "3712")]
    [InlineData("10ABC123" + "241R55")]
    [InlineData("10ABC123" + "71012345")]
    [InlineData("10ABC123" + "7161A")]
    [InlineData("10ABC123" + "8008260131" + "08")]
    [InlineData("10ABC123" + "7003290331" + "1200")]
    public void Another_identifier_that_may_have_run_into_the_lot_leaves_it_in_doubt(string lot)
    {
        var ways = Doubtful("0105412345000013" + "17290331" + lot);
        Assert.Contains(ways, way => way.Lot == "ABC123");
        Assert.Contains(ways, way => way.Lot == lot[2..]);
        Assert.All(ways, way => Assert.Equal(new LocalDate(2029, 3, 31), way.Expiry));
    }

    [Fact]
    public void An_expiry_behind_another_identifier_that_ran_into_the_lot_is_a_reading() =>
        Assert.Contains(Doubtful("10ABC123" + "91X7" + "17290331"), way => way.Lot == "ABC123" && way.Expiry == new LocalDate(2029, 3, 31));

    [Theory]
    [InlineData("11999999" + "10ABC12321S77", "ABC123")]
    [InlineData("15999999" + "10ABC123", "ABC123")]
    [InlineData("0105412345000013" + "11999999" + "10ABC12317290331", "ABC123")]
    public void A_date_of_making_that_is_no_date_leaves_the_lot_in_doubt(string scanned, string lot) => Assert.Contains(Doubtful(scanned), way => way.Lot == lot);

    [Fact]
    public async Task A_long_text_full_of_identifiers_is_read_at_once() =>
        await Task.Run(() => Gs1Pack.Read("10A" + string.Concat(Enumerable.Repeat("91212401721", 17)), Today)).WaitAsync(TimeSpan.FromSeconds(5));

    [Theory]
    [InlineData("17290331" + "10ABC2145" + "\u001D" + "2177")]
    [InlineData("10ABC2145" + "\u001D" + "17290331")]
    [InlineData("(17)290331(10)ABC2145")]
    public void Where_the_ends_are_marked_a_lot_may_hold_any_digits(string scanned) => Assert.Equal("ABC2145", Made(scanned).Lot);

    [Theory]
    [InlineData("17290331" + "10ABC123", "ABC123")]
    [InlineData("17290331" + "10ABC21", "ABC21")]
    [InlineData("17290331" + "1021ABC", "21ABC")]
    [InlineData("17290331" + "10ABC17888888", "ABC17888888")]
    [InlineData("17290331" + "10D-11491", "D-11491")]
    [InlineData("17290331" + "10A91B", "A91B")]
    [InlineData("17290331" + "10ABC30X", "ABC30X")]
    [InlineData("17290331" + "10ABC8008888888", "ABC8008888888")]
    [InlineData("0105412345000013" + "17290331" + "10ABC1234567", "ABC1234567")]
    public void A_lot_after_which_nothing_can_begin_is_read_without_doubt(string scanned, string lot) => Assert.Equal(lot, Made(scanned).Lot);

    [Fact]
    public void A_flood_of_letters_is_refused() => Assert.Equal(Gs1Fault.NotGs1, Refused("10" + new string('A', 100_000)));

    [Theory]
    [InlineData("D-11421S77", true)]
    [InlineData("d 114 2IS77", true)]
    [InlineData("D-114240R55", true)]
    [InlineData("D-11417290331", true)]
    [InlineData("D-1141729033121S77", true)]
    [InlineData("D-114", false)]
    [InlineData("D-1142", false)]
    [InlineData("D-11421", false)]
    [InlineData("D-11417999999", false)]
    [InlineData("XD-11421S77", false)]
    public void A_lot_may_have_run_together_with_what_follows_it(string stored, bool may) => Assert.Equal(may, LotKey.MayHaveRunOn(LotKey.Of(stored), LotKey.Of("D-114")));

    [Theory]
    [InlineData("D-114", "d 114")]
    [InlineData("AO1L", "a011")]
    public void Two_spellings_of_one_lot_have_one_key(string one, string other) => Assert.Equal(LotKey.Of(one), LotKey.Of(other));

    [Fact]
    public void Two_lots_have_two_keys_and_signs_alone_stay_signs()
    {
        Assert.NotEqual(LotKey.Of("D-114"), LotKey.Of("D-115"));
        Assert.Equal("--", LotKey.Of(" -- "));
    }
}
