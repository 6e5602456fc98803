using System.Text.Json.Nodes;
using AftercarePortal.Testing;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Aftercare;

public sealed class Sms_length
{
    private static readonly string Folder = Path.Combine(OpenData.Folder, "sms-encoding");

    [Theory]
    [InlineData("€", 2, true)]
    [InlineData("ñé¿", 3, true)]
    [InlineData("á", 1, false)]
    public void Counts_septets(string text, int units, bool basic) => Assert.Equal((units, basic), (SmsLength.Units(text), SmsLength.IsBasic(text)));

    [Fact]
    [Source("message-segment-calculator test vectors, commit a50230fddb2b, MIT", at: "every vector")]
    public void Agrees_with_published_vectors_on_alphabet_and_on_one_part()
    {
        var file = Path.Combine(Folder, "twilio_vectors.json");
        if (!File.Exists(file))
        {
            Console.Error.WriteLine("NOT CHECKED: sms-encoding/twilio_vectors.json is absent. Set AFTERCARE_OPEN_DATA to the open data folder.");
            return;
        }

        var rows = JsonNode.Parse(File.ReadAllText(file))!.AsArray();
        var differ = rows.Where(r => r!["encoding"] is not null && r["body"] is not null)
            .Where(r =>
            {
                var body = r!["body"]!.GetValue<string>();
                return SmsLength.IsBasic(body) != (r["encoding"]!.GetValue<string>() == "GSM-7") || SmsLength.IsOnePart(body) != (r["segments"]!.GetValue<int>() <= 1);
            }).Select(r => r!["testDescription"]?.GetValue<string>()).ToList();
        Assert.True(rows.Count >= 40);
        Assert.Empty(differ);
    }

    [Fact]
    [Source("Unicode Consortium, ETSI GSM 03.38 mapping (GSM0338.TXT)", at: "every code point but 0x09 and 0x1B")]
    public void Knows_the_letters_of_the_published_table()
    {
        var file = Path.Combine(Folder, "GSM0338.TXT");
        if (!File.Exists(file))
        {
            Console.Error.WriteLine("NOT CHECKED: sms-encoding/GSM0338.TXT is absent. Set AFTERCARE_OPEN_DATA to the open data folder.");
            return;
        }

        // 0x09 is a capital or a small c with cedilla, by revision; 0x1B is the escape itself.
        var letters = File.ReadLines(file).Where(l => l.StartsWith("0x", StringComparison.Ordinal)).Select(l => l.Split('\t'))
            .Where(c => c[0] is not ("0x09" or "0x1B")).Select(c => (Septets: c[0].Length > 4 ? 2 : 1, Letter: (char)Convert.ToInt32(c[1], 16))).ToList();
        Assert.True(letters.Count > 130);
        Assert.Empty(letters.Where(l => !SmsLength.IsBasic($"{l.Letter}") || SmsLength.Units($"{l.Letter}") != l.Septets).Select(l => $"U+{(int)l.Letter:X4}"));
    }
}
