using AftercarePortal.Web.Commands;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Triage;

public sealed class Comparing_readings_with_labels
{
    private const string Texts =
        """
        {"id":"a","lang":"en","day":0,"product":"HA filler","text":"cant breathe","tier":"emergency","tags":["short"]}
        {"id":"b","lang":"en","day":5,"product":"HA filler","text":"2","tier":"urgent"}
        {"id":"c","lang":"en","day":5,"product":"HA filler","text":"how much is a top up","tier":"admin"}
        {"id":"d","lang":"en","day":5,"product":"HA filler","text":"how much is a top up","tier":"nonsense"}
        """;

    [Fact]
    public void A_text_read_too_low_is_listed_and_a_bad_label_is_named()
    {
        var file = Path.GetTempFileName();
        File.WriteAllText(file, Texts);
        using var output = new StringWriter();
        using var error = new StringWriter();
        var exit = ReadCommand.Run(["evaluate", file], TextReader.Null, output, error, Path.Combine(TriageContent.Root, "content"));
        File.Delete(file);
        Assert.Equal(1, exit);
        Assert.Contains("line 4", error.ToString(), StringComparison.Ordinal);
        Assert.Contains("read too low: 1\n  b: urgent read as routine", output.ToString().ReplaceLineEndings("\n"), StringComparison.Ordinal);
        Assert.Contains("tag short", output.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(72, 0.0499)]        // nothing in n: the upper bound is 1 - 0.025^(1/n), Clopper and Pearson 1934
    [InlineData(368, 0.00997)]
    public void The_bounds_are_exact(int of, double high) => Assert.Equal(high, Evaluation.Bounds(0, of).High, 4);

    [Fact]
    public void The_desk_gets_what_is_about_a_booking_and_never_a_sign()
    {
        Assert.Equal("admin", TriageContent.Lexicon.Read("can I change my appointment please", new(20, [], 0)).Desk);
        Assert.Null(TriageContent.Lexicon.Read("can I change my appointment please, my chin is white", new(20, [], 0)).Desk);
    }
}
