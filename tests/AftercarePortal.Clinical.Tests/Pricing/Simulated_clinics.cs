using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.Commands.Simulation;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Simulated_clinics
{
    [Fact]
    public void A_few_small_clinics_are_the_same_each_time_and_the_method_beats_the_simpler_rules()
    {
        var once = Play("--clinics", "4", "--patients", "60", "--generator", "B");
        Assert.Equal(once, Play("--clinics", "4", "--patients", "60", "--generator", "B"));
        Assert.Contains("seeds 100003 to 100006", once.Output);
        Assert.All(Trial.Rules, rule => Assert.Contains(rule, once.Output));
        double Score(string rule) => double.Parse(once.Output.Split('\n').Single(l => l.TrimStart().StartsWith(rule, StringComparison.Ordinal)).Split(' ', StringSplitOptions.RemoveEmptyEntries)[^1], System.Globalization.CultureInfo.InvariantCulture);
        Assert.True(Score(Trial.Method) < 0.85 * Math.Min(Score(Trial.BySet), Score(Trial.OwnMinMax)));
    }

    [Theory]
    [InlineData("--clinics", "0")]
    [InlineData("--clinics")]
    [InlineData("--generator", "D")]
    [InlineData("--quick", "1")]
    public void Wrong_use_is_told(params string[] args) => Assert.Equal(2, Play(args).Code);

    private static (int Code, string Output) Play(params string[] args)
    {
        using StringWriter output = new();
        return (RangeCommand.Run(["simulate", .. args], TextReader.Null, output, TextWriter.Null, CandidacyContent.Folder, new LocalDate(2026, 11, 25)), output.ToString());
    }
}
