using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Triage;

/// <summary>Phrases with gaps, with words that stand for each other, with one word a letter off; signs that count only beside another.</summary>
public sealed class Words_in_phrases
{
    private static readonly ReadingContext Early = new(1, [ProductClass.HAFiller], 0);

    private static Tier Of(string text) => TriageContent.Lexicon.Read(text, Early).Tier;

    [Theory]
    [InlineData("they'd be better off if I wasn't here")]
    [InlineData("they'd be better off if I just wasn't here")]
    [InlineData("I barely see out of it")]
    [InlineData("I am not able to see properly")]
    [InlineData("I van't see properly")]
    [InlineData("cnat see out of it")]
    public void A_gap_a_word_of_the_same_group_or_one_letter_off_still_finds_the_phrase(string text) => Assert.Equal(Tier.Emergency, Of(text));

    [Theory]
    [InlineData("me voy ya a matar")]
    [InlineData("I really cannot even see properly")]
    [InlineData("I cant just get my breath")]
    [InlineData("el párpado no me sube")]
    public void Small_words_may_stand_between(string text) => Assert.Equal(Tier.Emergency, Of(text));

    [Theory]
    [InlineData("my arm does not move")]
    [InlineData("my leg will not bend")]
    [InlineData("the words are not coming out")]
    public void A_contraction_is_also_read_written_out(string text) => Assert.Equal(Tier.Emergency, Of(text));

    [Theory]
    [InlineData("no pain, and it is better now", Tier.Routine)]
    [InlineData("it is not better now", Tier.SameDay)]
    public void What_can_lower_is_read_only_as_it_is_written(string text, Tier least) => Assert.True(Of(text) >= least);

    [Theory]
    [InlineData("se le nubla la vista de un ojo")]
    [InlineData("no le sale la voz ni le salen las palabras")]
    [InlineData("she lost her sight for a minute")]
    public void A_sign_told_of_somebody_else_is_read_like_ones_own(string text) => Assert.Equal(Tier.Emergency, Of(text));

    [Theory]
    [InlineData("wheezin and gaspin")]
    [InlineData("me quedo atragantao con la saliva")]
    [InlineData("veo 2 móviles en mi mano")]
    [InlineData("took like 20 pills")]
    [InlineData("temp 40.1")]
    public void Spoken_endings_plurals_and_counts_are_read(string text) => Assert.Equal(Tier.Emergency, Of(text));

    [Theory]
    [InlineData("my head's too heavy for my neck", Tier.Emergency)]
    [InlineData("mum's eye won't open", Tier.Emergency)]
    [InlineData("it's gone white", Tier.Urgent)]
    public void A_noun_with_an_s_is_read_as_the_noun_and_other_short_forms_as_they_were(string text, Tier tier) => Assert.Equal(tier, Of(text));

    [Theory]
    [InlineData("toi jodi eibur mara bondho nokoro den moi nihoto korai dim bapekke", Tier.SameDay, Tier.Urgent)]
    [InlineData("toi jodi eibur mara bondho blind in one eye nokoro den moi nihoto korai bapekke", Tier.Emergency, Tier.Emergency)]
    public void Among_words_that_are_mostly_unknown_only_a_rightly_spelt_sign_counts(string text, Tier least, Tier most) => Assert.InRange(Of(text), least, most);

    [Fact]
    public void A_word_of_an_address_says_nothing() =>
        Assert.DoesNotContain(TriageContent.Lexicon.Read("write to vision@blind.example", Early).Clues, c => c.Tier == Tier.Emergency);

    [Theory]
    [InlineData("no me duele nada", Tier.SameDay)]
    [InlineData("me duele mucho", Tier.Urgent)]
    [InlineData("my eyes are fine", Tier.SameDay)]
    [InlineData("all good, breathing and vision normal", Tier.SameDay)]
    [InlineData("can't look to the left without pain in my eye", Tier.Emergency)]
    [InlineData("ok so my eyeball feels like it is going to burst", Tier.Emergency)]
    [InlineData("is it normal that my eyeball aches", Tier.Emergency)]
    public void A_denial_or_a_fine_counts_only_where_it_belongs(string text, Tier tier) => Assert.Equal(tier, Of(text));

    [Theory]
    [InlineData("I can't do the stairs any more, can't climb at all", Tier.Emergency)]
    [InlineData("I cant wait to clim the tower", Tier.SameDay)]
    public void Very_ordinary_words_count_only_when_rightly_spelt(string text, Tier tier) => Assert.Equal(tier, Of(text));

    [Theory]
    [InlineData("white patch on my lip", Tier.Urgent)]
    [InlineData("white patch on my lip, aches", Tier.Emergency)]
    [InlineData("white patch on my lip, no aches", Tier.Urgent)]
    public void A_word_that_says_little_alone_makes_the_second_sign(string text, Tier tier) => Assert.Equal(tier, Of(text));

    [Fact]
    public void Two_words_that_say_little_alone_make_no_sign()
    {
        var reading = TriageContent.Lexicon.Read("freezing cold coffee, numb bum", new(9, [ProductClass.HAFiller], 0));
        Assert.DoesNotContain(reading.Clues, c => c.ConceptId == "vascular");
    }

    [Theory]
    [InlineData("38,5 desde anoche", Tier.Urgent)]
    [InlineData("it was £38.5 in the shop", Tier.SameDay)]
    public void A_temperature_is_known_without_its_name_and_a_price_is_none(string text, Tier tier) =>
        Assert.Equal(tier, TriageContent.Lexicon.Read(text, new(9, [ProductClass.HAFiller], 0)).Tier);

    [Theory]
    [InlineData("does this look ok? [photo]")]
    [InlineData("<Media omitted>")]
    public void What_stands_for_a_picture_counts_as_one(string text) => Assert.True(Of(text) >= Tier.Urgent, text);

    [Theory]
    [InlineData("out of nowhere the most horrific head I have ever had, it was like being hit with a bat", Tier.Emergency)]
    [InlineData("keep missing the mug when I pour, only on the one side", Tier.Emergency)]
    [InlineData("la piel del mentón, se la veo como de un gris", Tier.Urgent)]
    public void Little_words_between_two_others_part_them_less(string text, Tier tier) => Assert.True(Of(text) >= tier, text);

    [Theory]
    [InlineData("had a stroke of luck, can I come earlier?", Tier.SameDay)]
    [InlineData("she had a stroke", Tier.Emergency)]
    [InlineData("my eyesight goes, your eyesight is fine", Tier.Emergency)]
    public void An_idiom_takes_what_runs_into_it_and_nothing_else(string text, Tier tier) =>
        Assert.Equal(tier, TriageContent.Lexicon.Read(text, new(9, [ProductClass.HAFiller], 0)).Tier);

    [Theory]
    [InlineData("grandad had a stroke in 2009", Tier.SameDay)]
    [InlineData("grandad had a stroke in room 2009", Tier.Emergency)]
    [InlineData("grandad had a stroke in 2009 and now I can't move my arm", Tier.Emergency)]
    public void A_year_puts_a_sign_into_the_past_unless_something_is_now(string text, Tier tier) =>
        Assert.Equal(tier, TriageContent.Lexicon.Read(text, new(9, [ProductClass.HAFiller], 0)).Tier);

    [Theory]
    [InlineData("How cheap... 30, 40, 50...", Tier.SameDay)]
    [InlineData("since Sept for £39", Tier.SameDay)]
    [InlineData("sent at 10:08:39 since Monday", Tier.SameDay)]
    [InlineData("39 since Monday", Tier.Urgent)]
    public void A_list_a_price_and_a_time_of_day_are_no_temperature(string text, Tier tier) =>
        Assert.Equal(tier, TriageContent.Lexicon.Read(text, new(9, [ProductClass.HAFiller], 0)).Tier);
}
