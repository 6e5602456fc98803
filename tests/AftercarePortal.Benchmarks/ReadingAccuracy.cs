using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Testing;
using AftercarePortal.Web.Commands;

namespace AftercarePortal.Benchmarks;

/// <summary>How well texts are read, against other people's data and our own development texts. Labels by one non-clinical writer prove nothing clinical.</summary>
internal static class ReadingAccuracy
{
    private const string Letters = "abcdefghijklmnopqrstuvwxyz";
    private static readonly ReadingContext Unknown = new(null, [], 0);

    public static void Run(TriageLexicon lexicon, TextWriter output)
    {
        var dev = Path.Combine(OpenData.Folder, "triage-eval", "dev.jsonl");
        if (!File.Exists(dev)) { output.WriteLine("NOT CHECKED: the open data folder is absent (AFTERCARE_OPEN_DATA)."); return; }
        using (var rows = File.OpenText(dev)) Evaluation.Run(lexicon, rows, output, output);
        output.WriteLine("\nordinary traffic, share of texts:");
        foreach (var (name, file, column) in new[] { ("sms en", "sms-ordinary/nus_sms_en.tsv", 2), ("sms en", "sms-ordinary/uci_sms_spam.tsv", 2), ("sentences es", "ordinary-es/common_voice_es.tsv", 1), ("questions en", "patient-questions/kqa.tsv", 4), ("questions en", "patient-questions/meqsum.tsv", 2), ("reports en", "patient-reports/psytar_sentences.tsv", 1) })
        {
            var texts = Column(file, column).ToArray();
            foreach (var (when, context) in new[] { ("day 30", new ReadingContext(30, [ProductClass.CaHAFiller], 0)), ("day 1", new ReadingContext(1, [ProductClass.CaHAFiller], 0)), ("day unknown", Unknown) })
            {
                var tiers = texts.Select(t => lexicon.Read(t, context).Tier).ToArray();
                output.WriteLine($"  {name,-14}{Path.GetFileName(file),-24}{when,-12} {Share(tiers.Count(t => t >= Tier.Urgent), tiers.Length)} urgent or more, {Share(tiers.Count(t => t == Tier.Emergency), tiers.Length)} emergency");
            }
        }
        Denial(lexicon, output);
        Despair(lexicon, output);
        Vignettes(lexicon, output);
        Slips(lexicon, dev, output);
    }

    private static void Denial(TriageLexicon lexicon, TextWriter output)
    {
        var (hit, extra, missed) = (0, 0, 0);
        foreach (var row in File.ReadLines(Path.Combine(OpenData.Folder, "negation-en", "negex_context.tsv")).Skip(1).Select(l => l.Split('\t')))
        {
            var at = row[2].IndexOf(row[1], StringComparison.OrdinalIgnoreCase);
            if (at < 0) continue;
            Count(lexicon.DenialReaches(row[2], at, at + row[1].Length), row[3] == "Negated", ref hit, ref extra, ref missed);
        }
        output.WriteLine(Score("denial, English kit (shared half; one-line rule: precision .929, recall .954, F1 .941)", hit, extra, missed));
        (hit, extra, missed) = (0, 0, 0);
        foreach (var line in File.ReadLines(Path.Combine(OpenData.Folder, "negation-es", "nubes_iula.jsonl")).Where(l => l.Length > 0))
        {
            var row = JsonNode.Parse(line)!;
            var entities = row["entities"]!.AsArray();
            var negated = Negated(entities, row["relations"]!.AsArray());
            foreach (var entity in entities.Where(e => e!["type"]!.GetValue<string>() == "DISO"))
            {
                var spans = entity!["spans"]!.AsArray();
                Count(lexicon.DenialReaches(row["text"]!.GetValue<string>(), spans[0]![0]!.GetValue<int>(), spans[^1]![1]!.GetValue<int>()), negated.Contains(entity["id"]!.GetValue<string>()), ref hit, ref extra, ref missed);
            }
        }
        output.WriteLine(Score("denial, Spanish findings (shared half)", hit, extra, missed));
    }

    // Everything a negation marker points at, and what lies inside it.
    private static HashSet<string> Negated(JsonArray entities, JsonArray relations)
    {
        var markers = entities.Where(e => e!["type"]!.GetValue<string>().StartsWith("Neg", StringComparison.Ordinal)).Select(e => e!["id"]!.GetValue<string>()).ToHashSet();
        var scopes = relations.Where(r => markers.Contains(r!["from"]!.GetValue<string>())).Select(r => r!["to"]!.GetValue<string>()).ToHashSet();
        var inside = entities.Where(e => scopes.Contains(e!["id"]!.GetValue<string>())).Select(e => e!["spans"]![0]!.AsArray()).Select(s => (From: s[0]!.GetValue<int>(), To: s[1]!.GetValue<int>())).ToArray();
        return [.. entities.Where(e => inside.Any(i => e!["spans"]![0]![0]!.GetValue<int>() >= i.From && e["spans"]![0]![1]!.GetValue<int>() <= i.To)).Select(e => e!["id"]!.GetValue<string>())];
    }

    private static void Despair(TriageLexicon lexicon, TextWriter output)
    {
        var tiers = Column("self-harm-phrases/suicide_risk_lexicon.tsv", 1).Select(p => lexicon.Read($"hi, to be honest {p}", new(30, [ProductClass.HAFiller], 0)).Tier).ToArray();
        output.WriteLine($"self-harm phrases: {Share(tiers.Count(t => t == Tier.Emergency), tiers.Length)} emergency, {tiers.Count(t => t == Tier.Routine)} of {tiers.Length} routine");
    }

    private static void Vignettes(TriageLexicon lexicon, TextWriter output)
    {
        var texts = Column("emergency-vignettes/first_person_vignettes.tsv", 5).ToArray();
        var rows = File.ReadLines(Path.Combine(OpenData.Folder, "emergency-vignettes", "healthbench_emergency.jsonl")).Where(l => l.Length > 0).Select(l => JsonNode.Parse(l)!).Where(r => r["category"]!.GetValue<string>() == "emergent").Select(r => lexicon.Read(r["last_user_text"]!.GetValue<string>(), Unknown).Tier).ToArray();
        output.WriteLine($"emergent questions of other fields: {Share(rows.Count(t => t >= Tier.Urgent), rows.Length)} urgent or more, {rows.Count(t => t == Tier.Routine)} routine");
        output.WriteLine($"emergency vignettes of other fields: {Share(texts.Count(t => lexicon.Read(t, Unknown).Tier == Tier.Emergency), texts.Length)} emergency");
    }

    // Each emergency text with k random slips of a letter: swapped, dropped, doubled or replaced. Seed 20261125.
    private static void Slips(TriageLexicon lexicon, string dev, TextWriter output)
    {
        var texts = File.ReadLines(dev).Where(l => l.Length > 0).Select(l => PatientText.Parse(l, out _)!).Where(t => t.Row["tier"]!.GetValue<string>() == "emergency").ToArray();
        foreach (var k in new[] { 0, 1, 2, 3 })
        {
            var random = new Random(20261125 + k);
            var tiers = texts.SelectMany(t => Enumerable.Range(0, 20).Select(_ => lexicon.Read(Slipped(t.Text, k, random), t.Context).Tier)).ToArray();
            output.WriteLine($"emergency texts with {k} random slips: {Share(tiers.Count(t => t == Tier.Emergency), tiers.Length)} emergency, {Share(tiers.Count(t => t >= Tier.Urgent), tiers.Length)} urgent or more, {tiers.Count(t => t == Tier.Routine)} routine");
        }
    }

    private static string Slipped(string text, int k, Random random)
    {
        for (; k > 0; k--)
        {
            var letters = Enumerable.Range(0, text.Length - 1).Where(i => char.IsLetter(text[i]) && char.IsLetter(text[i + 1])).ToArray();
            if (letters.Length == 0) return text;
            var at = letters[random.Next(letters.Length)];
            text = random.Next(4) switch
            {
                0 => text[..at] + text[at + 1] + text[at] + text[(at + 2)..],
                1 => text.Remove(at, 1),
                2 => text.Insert(at, text[at].ToString()),
                _ => text[..at] + Letters[random.Next(26)] + text[(at + 1)..],
            };
        }
        return text;
    }

    private static IEnumerable<string> Column(string file, int column) =>
        File.ReadLines(Path.Combine(OpenData.Folder, file)).Skip(1).Select(l => l.Split('\t')).Where(c => c.Length > column).Select(c => c[column]);

    private static void Count(bool said, bool gold, ref int hit, ref int extra, ref int missed)
    {
        if (said && gold) hit++;
        else if (said) extra++;
        else if (gold) missed++;
    }

    private static string Score(string name, int hit, int extra, int missed)
    {
        var (precision, recall) = (hit / (double)(hit + extra), hit / (double)(hit + missed));
        return string.Create(CultureInfo.InvariantCulture, $"{name}: precision {precision:.000} recall {recall:.000} F1 {2 * precision * recall / (precision + recall):.000}; affirmed taken for denied {extra}");
    }

    private static string Share(int hits, int of)
    {
        var (low, high) = Evaluation.Bounds(hits, of);
        return string.Create(CultureInfo.InvariantCulture, $"{hits}/{of} {100.0 * hits / of:0.00}% ({100 * low:0.00}-{100 * high:0.00})");
    }
}
