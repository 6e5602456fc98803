using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Triage;

public sealed class Texts_of_the_same_days
{
    private static readonly ReadingContext DayTwo = new(2, [ProductClass.CaHAFiller], 0);
    private static readonly ReadingContext DayTen = new(10, [ProductClass.CaHAFiller], 0);

    [Fact]
    public void Two_halves_sent_within_minutes_are_read_as_one()
    {
        Assert.Equal(Tier.Emergency, Together("on the left everything is blurry", "sorry, i mean my eye", 1, DayTen).Tier);
        Assert.True(Together("my chin has gone", "white", 1, DayTwo).Tier >= Tier.Urgent);
    }

    [Fact]
    public void A_thank_you_a_minute_later_does_not_lower() => Assert.Equal(Tier.Emergency, Together("cant breathe", "thanks x", 1, DayTen).Tier);

    [Fact]
    public void Two_different_signs_of_a_blocked_vessel_in_two_days_are_an_emergency()
    {
        Assert.Equal(Tier.Urgent, TriageContent.Lexicon.Read("chin feels really cold", DayTwo).Tier);
        var later = Together("pale patch on my chin", "chin feels really cold", 20 * 60, DayTwo);
        Assert.Equal(Tier.Emergency, later.Tier);
        Assert.Contains(later.Clues, c => c is { ConceptId: "vascular", Tier: Tier.Emergency });
    }

    [Fact]
    public void The_same_worry_again_within_a_day_is_one_tier_up()
    {
        Assert.Equal(Tier.SameDay, TriageContent.Lexicon.Read("one side looks uneven", DayTen).Tier);
        Assert.Equal(Tier.Urgent, Together("one side looks uneven", "it really is uneven", 5 * 60, DayTen).Tier);
        Assert.Equal(Tier.SameDay, Together("one side looks uneven", "it really is uneven", 30 * 60, DayTen).Tier);
    }

    [Theory]
    [InlineData("my jaw is white and cold", Tier.Emergency)]
    [InlineData("chin feels really cold", Tier.Urgent)]
    public void A_filler_of_last_week_is_not_forgotten_for_the_toxin_of_today(string text, Tier tier)
    {
        var both = ReadingContext.After([(ProductClass.BotulinumToxinTypeA, 1), (ProductClass.CaHAFiller, 11)], 0);
        Assert.Equal(tier, TriageContent.Lexicon.Read(text, both).Tier);
        Assert.Equal(TriageContent.Lexicon.Read(text, new(11, [ProductClass.CaHAFiller], 0)).Tier, TriageContent.Lexicon.Read(text, both).Tier);
    }

    [Fact]
    public void A_toxin_of_last_week_is_not_forgotten_for_the_filler_of_today()
    {
        var both = ReadingContext.After([(ProductClass.HAFiller, 1), (ProductClass.BotulinumToxinTypeA, 10)], 0);
        const string Medicine = "i started gentamicin today";
        Assert.Equal(Tier.Urgent, TriageContent.Lexicon.Read(Medicine, both).Tier);
        Assert.Equal(Tier.SameDay, TriageContent.Lexicon.Read(Medicine, new(1, [ProductClass.HAFiller], 0)).Tier);
    }

    [Fact]
    public void Each_product_counts_from_its_own_day()
    {
        var late = ReadingContext.After([(ProductClass.BotulinumToxinTypeA, 1), (ProductClass.CaHAFiller, 60)], 0);
        Assert.Equal(Tier.Urgent, TriageContent.Lexicon.Read("my jaw is white and cold", late).Tier);          // two signs of a vessel, but long after the filler
        Assert.Equal(Tier.Emergency, TriageContent.Lexicon.Read("my eyelid is drooping", late).Tier);            // day 1 after the toxin
        var two = ReadingContext.After([(ProductClass.CaHAFiller, 1), (ProductClass.CaHAFiller, 60)], 0);
        Assert.Equal(Tier.Emergency, TriageContent.Lexicon.Read("my jaw is white and cold", two).Tier);
    }

    [Fact]
    public void Worse_is_read_as_what_was_told_before() =>
        Assert.Equal(Tier.Urgent, Together("blisters by my lip", "it is getting worse", 8 * 60, DayTen).Tier);

    [Fact]
    public void An_earlier_text_never_lowers_and_spans_stay_in_the_text()
    {
        string[] texts = ["2", "", "thanks", "no pain", "pale patch", "my vision is fine", "cant see", "😭", "worse today", "[photo]", "STOP"];
        foreach (var first in texts)
        {
            foreach (var second in texts)
            {
                foreach (var minutes in (int[])[0, 5, 60, 1000, 4000])
                {
                    var reading = Together(first, second, minutes, DayTwo);
                    Assert.True(reading.Tier >= TriageContent.Lexicon.Read(second, DayTwo).Tier, $"{first} / {second}");
                    Assert.All(reading.Clues, c => Assert.True(c.Start >= 0 && c.Start < c.End && c.End <= second.Length, $"{first} / {second}: {c}"));
                }
            }
        }
    }

    private static Reading Together(string first, string second, int minutes, ReadingContext context) =>
        TriageContent.Lexicon.ReadTogether(second, [new(first, 0, Duration.FromMinutes(minutes))], context);
}
