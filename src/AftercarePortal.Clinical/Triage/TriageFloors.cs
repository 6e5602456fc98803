namespace AftercarePortal.Clinical.Triage;

/// <summary>What a text asks for because of what was not understood. Floors only raise.</summary>
internal static class TriageFloors
{
    internal static Tier Of(
        string text, IReadOnlyList<TextToken> tokens, List<(string Atom, int Last)>[] found, IReadOnlyList<Clue> clues,
        ReadingContext context, bool cut, List<string> floors)
    {
        var day = Math.Max(0, context.Day ?? 0);
        var early = day <= 3 && TriageLexicon.IsFiller(context);
        var careful = early ? Tier.Urgent : Tier.SameDay;
        var tier = Tier.Routine;
        void Floor(Tier at, string name)
        {
            floors.Add(name);
            if (at > tier) tier = at;
        }
        bool Has(string atom) => found.Any(f => f.Any(a => a.Atom == atom));

        if (cut) Floor(Tier.SameDay, "text longer than is read");
        if (text.Contains("??", StringComparison.Ordinal) || text.TrimStart().StartsWith('?')) Floor(careful, "bare question");
        var photo = context.MediaCount > 0 || Has("photo");
        if (photo) Floor(careful, "photo");
        if (tokens.Count == 0)
        {
            if (!photo) Floor(careful, "nothing readable");
            return tier;
        }
        if (Code(tokens, found) is { } code)
        {
            Floor(code switch { >= 4 => Tier.Urgent, 3 => careful, <= 0 => Tier.SameDay, _ => Tier.Routine }, $"pain code {code}");
            return tier;
        }
        var explained = new bool[tokens.Count];
        for (var i = 0; i < tokens.Count; i++)
        {
            explained[i] |= tokens[i].IsNumber || tokens[i].Form.Length == 1;
            foreach (var (_, last) in found[i])
                for (var k = i; k <= last; k++) explained[k] = true;
        }
        var unexplained = explained.Count(e => !e);
        if (Has("hypothetical") && (clues.Any(c => c.Tier >= Tier.SameDay) || Has("body"))) Floor(careful, "what if");
        if (Has("plea")) Floor(careful, "asks for a person");
        if (Has("normal")) Floor(careful, "asks whether it is normal");
        if (unexplained * 2 > tokens.Count && !Has("topic") && !Has("fine"))
            Floor(early && (tokens.Count <= 3 || Has("body")) ? Tier.Urgent : Tier.SameDay, "not readable");
        if (tokens.Count <= 4 && !Has("fine") && !Has("topic") && clues.Count == 0) Floor(careful, "too little said");
        if (unexplained > 0) Floor(early && Has("body") && !Has("topic") && clues.Count == 0 && !Has("fine") ? Tier.Urgent : Tier.SameDay, "words not understood");
        if (tokens.Any(t => t.Question) && clues.Any(c => c.Status == "present")) Floor(Tier.SameDay, "asks about a sign");
        if (Has("worse")) Floor(Tier.SameDay, "not getting better");
        if (!Has("fine") && !Has("topic") && !clues.Any(c => c.ConceptId.StartsWith("expected-", StringComparison.Ordinal)))
            Floor(early && Has("body") && clues.Count == 0 ? Tier.Urgent : Tier.SameDay, "nothing says it is as planned");
        return tier;
    }

    // A bare number, or one with "pain" or "out of 5": 1 none .. 5 worst. Null when words stand beside it.
    private static int? Code(IReadOnlyList<TextToken> tokens, List<(string Atom, int Last)>[] found)
    {
        string[] beside = ["pain", "dolor", "out", "of", "5", "de", "nivel", "level", "code"];
        var numbers = tokens.Where(t => t.IsNumber).ToArray();
        if (numbers.Length == 0 || numbers.Length > 2 || tokens.Any(t => !t.IsNumber && !beside.Contains(t.Form))) return null;
        var form = numbers[0].Form.Split('/')[0];
        return int.TryParse(form, System.Globalization.CultureInfo.InvariantCulture, out var value) && value <= 10 ? value : 0;
    }
}
