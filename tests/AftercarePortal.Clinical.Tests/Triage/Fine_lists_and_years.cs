using System.Text.Json.Nodes;
using AftercarePortal.Web.Commands;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Triage;

/// <summary>A year that a confused person names is no past time; a bare list said to be all fine raises nobody at night. Through <c>read</c>.</summary>
public sealed class Fine_lists_and_years
{
    private static string Tier(string text)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        using var input = new StringReader(new JsonObject { ["id"] = "1", ["lang"] = "en", ["day"] = 5, ["product"] = "HA filler", ["text"] = text }.ToJsonString());
        Assert.Equal(0, ReadCommand.Run([], input, output, error, Path.Combine(TriageContent.Root, "content")));
        return JsonNode.Parse(output.ToString())!["tier"]!.GetValue<string>();
    }

    [Theory]
    [InlineData("my mum thinks it is 1974")]
    [InlineData("she says the year is 1985")]
    [InlineData("he insists we're in 1962")]
    [InlineData("she came for her appointment and thinks it is 1974")]
    [InlineData("mi madre cree que es 1974")]
    [InlineData("dice que el año es 1985")]
    [InlineData("piensa que estamos en 1974")]
    public void A_year_somebody_believes_in_is_confusion(string text) => Assert.Equal("emergency", Tier(text));

    [Theory]
    [InlineData("she had a stroke in 2009")]
    [InlineData("I was born in 1974")]
    [InlineData("she thinks it is 1950 euros for both")]
    [InlineData("my sister thinks it's £1950")]
    [InlineData("my sister thinks it's 2000 for both")]
    [InlineData("cree que es 1950 pesos por todo")]
    public void A_year_long_past_or_a_price_is_none(string text) => Assert.Equal("same-day", Tier(text));

    [Theory]
    [InlineData("Breathing, swallowing, eyes, voice all perfectly ok")]
    [InlineData("Breathing, vision and speech all fine, thanks")]
    [InlineData("respiración, vista y voz, todo normal")]
    public void A_bare_list_that_is_all_fine_is_seen_the_same_day(string text) => Assert.Equal("same-day", Tier(text));

    [Theory]
    [InlineData("Breathing, vision and speech all fine now")]
    [InlineData("Breathing, vision and speech all fine?")]
    [InlineData("Breathing, vision and speech all fine apart from the left eye")]
    [InlineData("vision blurry, breathing, speech all fine")]
    [InlineData("not breathing, vision, speech all fine")]
    [InlineData("Left one is blurry. Eyes, breathing, speech all fine")]
    [InlineData("Breathing, vision, speech all fine. Lip is white and hurts badly")]
    public void Whatever_else_is_said_beside_the_list_still_raises(string text) => Assert.Equal("emergency", Tier(text));

    [Theory]
    [InlineData("quedé de infarto, gracias", "routine")]
    [InlineData("estamos sin aire acondicionado", "same-day")]
    [InlineData("tengo un dolor de infarto", "emergency")]
    [InlineData("me quedo sin aire, y sin aire acondicionado", "emergency")]
    public void Idioms_of_looks_and_rooms_are_no_signs(string text, string tier) => Assert.Equal(tier, Tier(text));

    [Fact]
    public void A_press_test_told_with_and_if_is_told_of_now() => Assert.Equal("emergency", Tier("el labio esta blanco y si lo aprieto no le vuelve el color, me arde mucho"));
}
