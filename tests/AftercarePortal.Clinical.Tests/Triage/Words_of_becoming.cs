using System.Text.Json.Nodes;
using AftercarePortal.Web.Commands;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Triage;

/// <summary>"Gone white" says what the skin has become, not that it is gone; the colour of a bruise is the bruise's. Through <c>read</c>.</summary>
public sealed class Words_of_becoming
{
    private static (string Tier, string[] Signs) Read(string text, int day = 1)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        using var input = new StringReader(new JsonObject { ["id"] = "1", ["lang"] = "en", ["day"] = day, ["product"] = "HA filler", ["text"] = text }.ToJsonString());
        Assert.Equal(0, ReadCommand.Run([], input, output, error, Path.Combine(TriageContent.Root, "content")));
        var answer = JsonNode.Parse(output.ToString())!;
        return (answer["tier"]!.GetValue<string>(), [.. answer["concepts"]!.AsArray().Select(c => $"{c!["id"]} {c["status"]}")]);
    }

    [Theory]
    [InlineData("my skin has gone white")]
    [InlineData("the skin has gone really pale")]
    [InlineData("my skin is going grey")]
    [InlineData("se me ha puesto blanca la piel")]
    [InlineData("la piel se me ha ido poniendo gris")]
    public void Skin_that_became_a_colour_is_not_read_as_broken(string text)
    {
        var (tier, signs) = Read(text);
        Assert.Equal("urgent", tier);
        Assert.Contains("vo-colour present", signs);
        Assert.DoesNotContain(signs, s => s.StartsWith("vo-blister-pustule", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("the skin has gone, it is wet underneath")]
    [InlineData("skin has gone where the needle went")]
    public void Skin_that_is_missing_still_is(string text) => Assert.Contains("vo-blister-pustule present", Read(text).Signs);

    [Theory]
    [InlineData("the swelling has gone hard", "expected-swelling present")]
    [InlineData("the swelling has gone all lumpy", "expected-swelling present")]
    [InlineData("the swelling has gone", "expected-swelling resolved")]
    [InlineData("the swelling has gone, it is hard to believe", "expected-swelling resolved")]
    public void What_became_something_is_not_over(string text, string sign) => Assert.Contains(sign, Read(text).Signs);

    [Theory]
    [InlineData("big purple bruise on my chin", "same-day")]
    [InlineData("black and blue bruise on my chin", "same-day")]
    [InlineData("un moretón morado en la barbilla", "same-day")]
    [InlineData("bruise on my chin is white in the middle", "urgent")]
    [InlineData("purple bruise on my chin like a lace net", "urgent")]
    [InlineData("purple patch on my chin", "urgent")]
    [InlineData("mancha morada en la barbilla", "urgent")]
    public void A_bruise_may_have_the_colour_of_one(string text, string tier) => Assert.Equal(tier, Read(text).Tier);

    [Theory]
    [InlineData("del 1 al 10? un 9 y subiendo, ayer era un 4")]
    [InlineData("on a scale of 1 to 10 it is 8")]
    [InlineData("1-10 I would say 9")]
    public void Numbers_on_a_scale_that_is_told_are_pain(string text) => Assert.Equal("urgent", Read(text, 9).Tier);
}
