using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Triage;

public sealed class Reading_a_text
{
    private static readonly ReadingContext Early = new(1, [ProductClass.HAFiller], 0);

    public static TheoryData<string, int, string, string, string, string> Cases()
    {
        var errors = new List<ContentError>();
        var doc = ContentDocument.Load(Path.Combine(TriageContent.Root, "content", "triage", "lower-face.v1.cases.yaml"), errors)!;
        var data = new TheoryData<string, int, string, string, string, string>();
        foreach (var row in doc.Root["cases"]!.AsArray())
            data.Add(row!["case"]!.GetValue<string>(), row["day"]!.GetValue<int>(), row["product"]!.GetValue<string>(), row["text"]!.GetValue<string>(), row["at_least"]!.GetValue<string>(), row["at_most"]?.GetValue<string>() ?? "emergency");
        return data;
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void Every_case_gets_its_tier(string name, int day, string product, string text, string least, string most)
    {
        var tier = TriageContent.Lexicon.Read(text, new(day, [ProductClassNames.Parse(product)!.Value], 0)).Tier;
        Assert.True(tier >= Of(least) && tier <= Of(most), $"{name}: {tier}");
    }

    [Theory]
    [InlineData(" Thanks for everything, all good x")]
    [InlineData(" lol 😂")]
    [InlineData("\nno pain though")]
    [InlineData(" is that normal?")]
    [InlineData(" vision is fine")]
    [InlineData(" but otherwise fine")]
    [InlineData(", todo bien por lo demás")]
    public void Adding_text_never_lowers_a_case(string more)
    {
        foreach (var row in Cases())
        {
            var text = (string)row[3];
            if (text.All(char.IsAsciiDigit) || (string)row[4] == "routine") continue;      // a bare code becomes a different message; a plain one may earn routine by what is added
            var context = new ReadingContext((int)row[1], [ProductClassNames.Parse((string)row[2])!.Value], 0);
            Assert.True(TriageContent.Lexicon.Read(text + more, context).Tier >= TriageContent.Lexicon.Read(text, context).Tier, text + more);
        }
    }

    [Fact]
    public void Changing_the_dress_of_a_text_never_lowers()
    {
        foreach (var row in Cases())
        {
            var text = (string)row[3];
            if (text.All(c => char.IsAsciiDigit(c) || c == '?')) continue;
            var context = new ReadingContext((int)row[1], [ProductClassNames.Parse((string)row[2])!.Value], 0);
            var tier = TriageContent.Lexicon.Read(text, context).Tier;
            string[] dressed =
            [
                text.ToUpperInvariant(), "Hi there. " + text, "hola. " + text, text + " 😊", text + "!!", "  " + text.Replace(" ", "  ", StringComparison.Ordinal) + "\n",
                text + ". Thanks for everything x", "ok so " + text, "Worried, " + text, "is it normal that " + text, "my wife says " + text, "Great day today. " + text, string.Join(". ", text.Split(". ").Reverse()), text.Replace('\'', '’'),
            ];
            foreach (var other in dressed)
                Assert.True(TriageContent.Lexicon.Read(other, context).Tier >= tier || tier == Tier.SameDay, $"{tier} {(string)row[0]}: {other}");
        }
    }

    [Fact]
    public void Fewer_days_since_filler_never_lower_a_sign_of_a_blocked_vessel()
    {
        string[] texts = ["pale patch on my chin", "my jaw is killing me", "blisters by my lip", "chin is cold and white", "no siento la barbilla", "mancha morada"];
        foreach (var text in texts)
        {
            var tiers = new[] { 20, 14, 3, 0 }.Select(day => TriageContent.Lexicon.Read(text, new(day, [ProductClass.CaHAFiller], 0)).Tier).ToArray();
            Assert.Equal(tiers.Order(), tiers);
        }
    }

    [Fact]
    public void A_photo_never_lowers()
    {
        foreach (var row in Cases())
        {
            var context = new ReadingContext((int)row[1], [], 0);
            Assert.True(TriageContent.Lexicon.Read((string)row[3], context with { MediaCount = 1 }).Tier >= TriageContent.Lexicon.Read((string)row[3], context).Tier);
        }
        Assert.Equal(Tier.Urgent, TriageContent.Lexicon.Read("", Early with { MediaCount = 1 }).Tier);
    }

    [Fact]
    public void Spans_slice_the_raw_text()
    {
        const string text = "😵 héy… my VISION\u200B is blurry";
        var clue = TriageContent.Lexicon.Read(text, Early).Clues.First(c => c.ConceptId == "vision-change");
        Assert.Equal("VISION\u200B is blurry", text[clue.Start..clue.End]);
    }

    [Fact]
    public void Self_harm_has_its_own_concept() =>
        Assert.Contains(TriageContent.Lexicon.Read("I want to die", Early).Clues, c => c is { ConceptId: "self-harm", Tier: Tier.Emergency });

    [Fact]
    public void No_string_throws_and_none_unread_is_routine_early()
    {
        var random = new Random(20260101);        // seed 20260101
        string[] naughty = ["", " ", "\0", "\uD800", "\uDC00\uD83D", "\u202Efdp", "1/0", "9999999999999999999999999999999999999999", "38..,/5", "'", "’’", "👁️‍🗨️", "ﷺ", new('a', 10_000), new('9', 10_000), string.Concat(Enumerable.Repeat("no pain ", 2_000))];
        var fuzz = Enumerable.Range(0, 300).Select(_ => new string([.. Enumerable.Range(0, random.Next(60)).Select(_ => (char)random.Next(0x10000))]));
        foreach (var text in naughty.Concat(fuzz))
        {
            var reading = TriageContent.Lexicon.Read(text, Early);
            Assert.All(reading.Clues, c => Assert.True(c.Start >= 0 && c.Start < c.End && c.End <= text.Length));
        }
        Assert.Equal(Tier.Urgent, TriageContent.Lexicon.Read("\uD800", Early).Tier);
    }

    [Fact]
    public void The_command_keeps_order_and_names_the_bad_line()
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        using var input = new StringReader("{\"id\":\"a\",\"day\":0,\"product\":\"HA filler\",\"text\":\"cant breathe\"}\nnot json\n{\"id\":\"b\",\"day\":5,\"product\":\"HA filler\",\"text\":\"2\",\"media\":0}\n");
        Assert.Equal(1, ReadCommand.Run([], input, output, error, Path.Combine(TriageContent.Root, "content")));
        var answers = output.ToString().Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(l => JsonNode.Parse(l)!).ToArray();
        Assert.Equal(["a", "b"], answers.Select(a => a["id"]!.GetValue<string>()));
        Assert.Equal(["emergency", "routine"], answers.Select(a => a["tier"]!.GetValue<string>()));
        Assert.Contains("line 2", error.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void The_command_reads_on_past_marks_blank_lines_and_wrong_kinds()
    {
        const string good = """{"id":"1","lang":"en","day":1,"product":"HA filler","text":"cant breathe","media":0}""";
        using var output = new StringWriter();
        using var error = new StringWriter();
        var exit = ReadCommand.Run([], new StringReader("\uFEFF" + good + "\r\n\r\n  \n[1]\n{\"text\":5}\n" + good), output, error, Path.Combine(TriageContent.Root, "content"));
        Assert.Equal(1, exit);
        Assert.Equal(2, output.ToString().Split('\n', StringSplitOptions.RemoveEmptyEntries).Count(l => l.Contains("\"tier\":\"emergency\"", StringComparison.Ordinal)));
        Assert.Equal(["line 4", "line 5"], error.ToString().Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(l => l[..6]));
    }

    private static Tier Of(string word) => Enum.GetValues<Tier>().Single(t => t.Name().Replace(' ', '-') == word);
}
