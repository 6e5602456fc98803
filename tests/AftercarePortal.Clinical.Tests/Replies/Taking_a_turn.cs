using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Replies;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Replies;

public sealed class Taking_a_turn
{
    private static readonly ContentLibrary Content = ContentLibrary.Load(ContentLibrary.Folder);
    private static readonly ReadingContext DayOne = new(1, [ProductClass.CaHAFiller], 0);
    private static readonly TurnContext Quiet = new([ProductClass.CaHAFiller], false, null, 0, false, false, false);
    private static readonly TurnContext Asked = Quiet with { WasAskedToCheckIn = true };

    [Theory]
    [InlineData("0", 0, Tier.Routine)]
    [InlineData(" 2 ", 2, Tier.Routine)]
    [InlineData("2/10", 2, Tier.Routine)]
    [InlineData("4", 4, Tier.SameDay)]
    [InlineData("6", 6, Tier.Urgent)]
    [InlineData("10!!", 10, Tier.Urgent)]
    public void A_bare_number_that_was_asked_for_is_a_pain(string text, int pain, Tier tier)
    {
        var turn = Take(text, Asked);
        Assert.Equal(pain, turn.Code?.Pain);
        Assert.Equal(tier, turn.Tier);
    }

    [Theory]
    [InlineData("A", Tier.Routine)]
    [InlineData("b.", Tier.SameDay)]
    [InlineData("C", Tier.Urgent)]
    public void A_bare_letter_that_was_asked_for_means_what_the_content_says(string text, Tier tier) => Assert.Equal(tier, Take(text, Asked).Tier);

    [Theory]
    [InlineData("8 thanks", 8, Tier.Urgent)]
    [InlineData("10!! ok", 10, Tier.Urgent)]
    [InlineData("pain is about 7 ok", 7, Tier.Urgent)]
    [InlineData("It is a 7", 7, Tier.Urgent)]
    [InlineData("8 / 10 thanks", 8, Tier.Urgent)]
    [InlineData("eight thanks", 8, Tier.Urgent)]
    [InlineData("8 \U0001F44D", 8, Tier.Urgent)]
    [InlineData("ocho gracias", 8, Tier.Urgent)]
    [InlineData("2 out of 10, thank you", 2, Tier.Routine)]
    [InlineData("10 out of 10", 10, Tier.Urgent)]
    [InlineData("2-8", 8, Tier.Urgent)]
    [InlineData("2 - 3", 3, Tier.SameDay)]
    [InlineData("pain of 2 to 10", 10, Tier.Urgent)]
    [InlineData("dolor de 2 a 10", 10, Tier.Urgent)]
    [InlineData("dolor de 2 sobre 10", 2, Tier.Routine)]
    [InlineData("6 or 7 thanks", 7, Tier.Urgent)]
    [InlineData("entre 5 y 6", 6, Tier.Urgent)]
    [InlineData("0-10", 10, Tier.Urgent)]
    public void A_number_beside_words_that_say_nothing_is_a_pain_and_of_several_the_greatest(string text, int pain, Tier tier) =>
        Assert.Equal((pain, tier), (Take(text, Asked).Code?.Pain, Take(text, Asked).Tier));

    [Theory]
    [InlineData("2 dias")]
    [InlineData("mas de 2")]
    [InlineData("is it the right one")]
    public void A_number_beside_words_that_say_something_is_no_code(string text) => Assert.Null(Take(text, Asked).Code);

    [Theory]
    [InlineData("You texted the wrong number")]
    [InlineData("I think you called the wrong number")]
    [InlineData("im not the person you are looking for")]
    [InlineData("that's not my name")]
    public void A_wrong_number_told_to_us_ends_the_texts(string text) => Assert.True(Take(text, Quiet).SaysWrongNumber);

    [Theory]
    [InlineData("Sorry if this is the wrong number, I had filler yesterday and my lip is cold")]
    [InlineData("is this the wrong number?")]
    [InlineData("wrong number? I am waiting for the clinic")]
    [InlineData("that's not my name, it's Mira")]
    [InlineData("you're not the person I spoke to")]
    [InlineData("hope this isn't the wrong number, chin still sore")]
    [InlineData("Perdón si es un número equivocado, tengo el labio frío")]
    public void A_wrong_number_asked_about_or_excused_ends_nothing_and_a_person_looks(string text)
    {
        var turn = Take(text, Quiet);
        Assert.False(turn.SaysWrongNumber);
        Assert.True(turn.Tier >= Tier.SameDay);
    }

    [Theory]
    [InlineData("C thanks", Tier.Urgent)]
    [InlineData("b, thank you", Tier.SameDay)]
    [InlineData("A gracias", Tier.Routine)]
    public void A_letter_beside_thanks_means_the_same(string text, Tier tier) => Assert.Equal(tier, Take(text, Asked).Tier);

    [Theory]
    [InlineData("C", Tier.Urgent)]
    [InlineData("8 thanks", Tier.Urgent)]
    public void Asked_for_a_day_and_a_half_ago_an_answer_still_raises_and_is_not_kept_as_one(string text, Tier tier)
    {
        var turn = Take(text, Quiet with { WasAskedEarlier = true });
        Assert.Equal((null, tier), (turn.Code, turn.Tier));
    }

    [Theory]
    [InlineData("2")]
    [InlineData("A")]
    [InlineData("Español")]
    public void A_photo_beside_a_code_or_a_language_is_looked_at_by_a_person(string text)
    {
        var context = DayOne with { MediaCount = 1 };
        var reading = Content.Lexicon.Read(text, context);
        Assert.True(Content.Replies.Take(text, reading, reading, Asked with { HasPhoto = true, BringsPhoto = true }).Tier >= Tier.SameDay);
    }

    [Theory]
    [InlineData("no one called me", "Help me no one answers")]
    [InlineData("Call me, no one answers", "no reply, call me now")]
    public void English_words_that_Spanish_has_too_make_no_text_Spanish(string one, string other)
    {
        foreach (var text in new[] { one, other }) Assert.NotEqual("es", Content.Replies.LanguageOf(text));
        Assert.Equal("en", Content.Replies.LanguageOf("Help me please, the skin is white and nobody answers"));
        Assert.Equal("es", Content.Replies.LanguageOf("voy a urgencias a pie, tengo la cara muy blanca"));
    }

    [Theory]
    [InlineData("I had the wrong number for you earlier, one side looks uneven")]
    [InlineData("Sorry I rang the wrong number before. My chin is red and sore")]
    public void A_wrong_number_told_beside_a_sign_ends_no_texts(string text)
    {
        Assert.False(Take(text, Quiet).SaysWrongNumber);
        Assert.True(Take(text, Quiet).Tier >= Tier.SameDay);
    }

    [Theory]
    [InlineData("3")]
    [InlineData("0")]
    [InlineData("A")]
    public void Nobody_asked_so_a_number_or_letter_is_not_understood_and_a_person_looks(string text)
    {
        Assert.Null(Take(text, Quiet).Code);
        Assert.True(Take(text, Quiet).Tier >= Tier.SameDay);
    }

    [Theory]
    [InlineData("2 but my lip is white")]
    [InlineData("A and I cannot see out of my left eye")]
    [InlineData("1, can't breathe properly")]
    public void Words_beside_a_code_are_read_as_words(string text)
    {
        Assert.Null(Take(text, Asked).Code);
        Assert.True(Take(text, Asked).Tier >= Tier.Urgent);
    }

    [Theory]
    [InlineData("11")]
    [InlineData("-1")]
    [InlineData("3 days")]
    [InlineData("D")]
    [InlineData("1 2")]
    public void Anything_else_is_no_code(string text) => Assert.True(Take(text, Asked).Code is null || text == "-1");

    [Fact]
    public void A_pain_that_has_risen_is_urgent_whatever_the_number() => Assert.Equal(Tier.Urgent, Take("3", Asked with { LastPain = 1 }).Tier);

    [Fact]
    public void A_code_beside_other_texts_of_the_same_minutes_lowers_nothing() => Assert.Equal(Tier.Urgent, Take("4", Asked with { WroteJustBefore = true }).Tier);

    [Theory]
    [InlineData("can I go to the gym tomorrow?", "answer-exercise")]
    [InlineData("when can i wear makeup", "answer-makeup")]
    [InlineData("¿cuando puedo beber vino?", "answer-alcohol")]
    public void A_common_question_gets_its_approved_answer(string text, string answer) => Assert.Equal([answer], Take(text, Quiet).Answers);

    [Theory]
    [InlineData("can I go to the gym tomorrow? my chin has gone white")]
    [InlineData("can i take ibuprofen after the gym")]
    [InlineData("can I drink wine, my eye feels blurry")]
    public void With_anything_above_routine_no_answer_is_sent(string text)
    {
        var turn = Take(text, Quiet);
        Assert.True(turn.Tier > Tier.Routine);
        Assert.DoesNotContain(turn.Answers, a => a.StartsWith("answer-", StringComparison.Ordinal));
    }

    [Fact]
    public void An_answer_written_for_other_products_is_not_sent()
    {
        Assert.Equal(["answer-pressing"], Take("can i massage it?", Quiet).Answers);
        Assert.Empty(Take("can i massage it?", Quiet with { Products = [ProductClass.Plla] }).Answers);
        Assert.Empty(Take("can i massage it?", Quiet with { Products = [] }).Answers);
    }

    [Theory]
    [InlineData("person")]
    [InlineData("I... una persona"/* not whole: read as words */)]
    [InlineData("hablar con una persona")]
    [InlineData("Call me please!")]
    public void Whoever_asks_for_a_person_gets_one(string text) => Assert.True(Take(text, Quiet).Tier >= Tier.SameDay);

    [Theory]
    [InlineData("Español", "es")]
    [InlineData("in English please", "en")]
    public void A_language_asked_for_is_a_language_and_no_report(string text, string language)
    {
        var turn = Take(text, Quiet);
        Assert.Equal((language, Tier.Routine), (turn.SwitchTo, turn.Tier));
    }

    [Theory]
    [InlineData("sorry wrong number")]
    [InlineData("creo que tiene el número equivocado")]
    public void A_wrong_number_is_looked_at_by_a_person(string text)
    {
        var turn = Take(text, Quiet);
        Assert.True(turn.SaysWrongNumber);
        Assert.True(turn.Tier >= Tier.SameDay);
    }

    [Theory]
    [InlineData("wrong number but my wife can't breathe, what do I do")]
    [InlineData("numero equivocado pero no puedo respirar")]
    public void A_sign_beside_a_wrong_number_keeps_its_tier(string text) => Assert.Equal(Tier.Emergency, Take(text, Quiet).Tier);

    [Fact]
    public void An_endless_exchange_ends_with_a_person_and_emergencies_are_still_answered()
    {
        var many = Quiet with { SentLately = Content.Replies.Loop.PersonAfter };
        var thanks = Take("thanks, all good", many);
        Assert.True(thanks.IsSilent);
        Assert.Equal(Tier.SameDay, thanks.Tier);
        Assert.False(Take("I can't breathe", many).IsSilent);
        Assert.Equal(Tier.Emergency, Take("I can't breathe", Quiet with { SentLately = 1_000 }).Tier);
    }

    [Fact]
    public void However_many_texts_went_before_one_that_makes_it_worse_is_answered_and_its_echo_is_not()
    {
        var many = Quiet with { SentLately = 1_000 };
        Assert.False(Take("I can't breathe", many).IsSilent);
        var signs = ReportedSoFar.SignsOf(Content.Lexicon.Read("I can't breathe", new(0, [], 0))).ToHashSet();
        Assert.NotEmpty(signs);
        Assert.True(Take("I can't breathe", many with { Reported = new(Tier.Emergency, signs) }).IsSilent);
        Assert.False(Take("I can't breathe", many with { Reported = new(Tier.Emergency, new HashSet<string>()) }).IsSilent);
        Assert.False(Take("I can't breathe", many with { Reported = new(Tier.Urgent, signs) }).IsSilent);
        Assert.True(Take("thanks, all good", many).IsSilent);
    }

    [Theory]
    [InlineData("one side looks uneven")]
    public void A_photo_is_asked_for_where_it_helps_and_not_twice(string text)
    {
        Assert.Equal(["reply-photo"], Take(text, Quiet).Answers);
        Assert.Empty(Take(text, Quiet with { WasAskedForPhoto = true }).Answers);
        Assert.Empty(Take(text, Quiet with { HasPhoto = true }).Answers);
    }

    [Theory]
    [InlineData("hola, tengo la barbilla muy hinchada desde ayer", "es")]
    [InlineData("my chin is very swollen since yesterday", "en")]
    [InlineData("ok", null)]
    [InlineData("😱", null)]
    [InlineData("", null)]
    public void The_language_is_that_of_the_words(string text, string? language) => Assert.Equal(language, Content.Replies.LanguageOf(text));

    [Fact]
    public void Taking_a_turn_lowers_nothing_but_a_code_or_a_language()
    {
        foreach (var text in new[] { "cant breathe person", "my lip is white, wrong number", "gym? my eye is blurry", "llamame no veo con un ojo", "call me, chin is cold and grey" })
            Assert.True(Take(text, Quiet).Tier >= Content.Lexicon.Read(text, DayOne).Tier, text);
    }

    private static Turn Take(string text, TurnContext about)
    {
        var reading = Content.Lexicon.Read(text, DayOne);
        return Content.Replies.Take(text, reading, reading, about);
    }
}
