namespace AftercarePortal.Clinical.Triage;

/// <summary>What a text asks for because of what was not understood. Floors only raise.</summary>
/// <remarks>What depends on how little is said is judged sentence by sentence, so that adding a sentence never lowers.</remarks>
internal readonly ref struct TriageFloors(
    ReadOnlySpan<TextToken> tokens, AtomSet present, List<Clue> clues, ReadingContext context, ReaderAtoms atoms, List<string> floors)
{
    internal const string NotBetter = "not getting better";
    private const int MannersAlone = 5;
    private readonly ReadOnlySpan<TextToken> tokens = tokens;

    internal Tier Of(string text, bool cut)
    {
        var tier = Tier.Routine;
        if (cut) Raise(ref tier, Tier.SameDay, "text longer than is read");
        if (context.MediaCount > 0 || StandsForPicture(text)) Raise(ref tier, context.Careful, "photo");
        if (IsBareQuestion(text)) Raise(ref tier, context.Careful, "bare question");
        if (tokens.Length == 0) Raise(ref tier, context.Careful, "nothing readable");
        else if (PainCode() is { } code) Raise(ref tier, code switch { >= 4 => Tier.Urgent, 3 => context.Careful, <= 0 => Tier.SameDay, _ => Tier.Routine }, $"pain code {code}");
        else
        {
            for (var (from, to) = (0, 1); from < tokens.Length; from = to, to = from + 1)
            {
                while (to < tokens.Length && !tokens[to].Sentence) to++;
                Sentence(ref tier, tokens[from..to]);
            }
            Whole(ref tier);
        }
        return tier;
    }

    private void Sentence(ref Tier tier, ReadOnlySpan<TextToken> sentence)
    {
        var careful = context.Careful;
        var (words, here) = (0, default(AtomSet));
        foreach (ref readonly var token in sentence)
        {
            words += token.Picture ? 0 : 1;
            here.Add(token.Atoms);
        }
        var benign = here.Has(atoms.Topic) || here.Has(atoms.Admin);        // a thank-you takes nothing back
        if (here.Has(atoms.Photo)) Raise(ref tier, !benign ? careful : Tier.SameDay, "speaks of a photo");
        if (here.Has(atoms.Sad) && (words <= 3 || sentence[0].Atoms.Has(atoms.Sad))) Raise(ref tier, careful, "distress without words");
        if (here.Has(atoms.Title) && words <= 2) Raise(ref tier, careful, "asks for a person");        // "NURSE"; elsewhere a form of address
        if (here.Has(atoms.Plea)) Raise(ref tier, words <= 4 || (words <= 9 && !benign) || here.Has(atoms.AtOnce) || sentence[0].Atoms.Has(atoms.Cry) ? careful : Tier.SameDay, "asks for a person");
        if (here.Has(atoms.Normal)) Raise(ref tier, !here.Has(atoms.Topic) ? careful : Tier.SameDay, "asks whether it is normal");
        if (here.Has(atoms.Wrong)) Raise(ref tier, words <= 4 || !benign || here.Has(atoms.Surely) || here.Has(atoms.Part) || here.Has(atoms.Body) ? careful : Tier.SameDay, "says something is wrong");
        if (here.Has(atoms.WhatIf) && here.Has(atoms.Part)) Raise(ref tier, careful, "what if");
        if (IsStrange(sentence, 4)) Raise(ref tier, careful, "words of no known language");
    }

    private void Whole(ref Tier tier)
    {
        // "ok, thanks" alone says that all is well; beside much else it is only manners.
        var benign = present.Has(atoms.Fine) || present.Has(atoms.Topic) || present.Has(atoms.Admin) || (present.Has(atoms.Courtesy) && tokens.Length <= MannersAlone);
        var (signs, expected) = (false, false);
        foreach (var clue in clues)
        {
            signs |= clue.Status != "negated" && clue.Tier >= Tier.SameDay;
            expected |= clue.ConceptId.StartsWith("expected-", StringComparison.Ordinal);
        }
        var part = NamesPart();
        if (IsStrange(tokens, 2)) Raise(ref tier, context.Careful, "words of no known language");
        else if (Unread(tokens).Unexplained > 0) Raise(ref tier, Tier.SameDay, "words not understood");
        if (present.Has(atoms.WhatIf) && (signs || part)) Raise(ref tier, context.Careful, "what if");
        if (context.IsEarly && part && clues.Count == 0 && !benign) Raise(ref tier, Tier.Urgent, "a treated part, nothing said to be as planned");
        if (tokens.Length <= 4 && clues.Count == 0 && !benign) Raise(ref tier, Tier.SameDay, "too little said");
        if (present.Has(atoms.Worse)) Raise(ref tier, Tier.SameDay, NotBetter);
        if (signs && AnyQuestion()) Raise(ref tier, Tier.SameDay, "asks about a sign");
        if (!benign && !expected) Raise(ref tier, Tier.SameDay, "nothing says it is as planned");
    }

    private void Raise(ref Tier tier, Tier to, string name)
    {
        if (!floors.Contains(name)) floors.Add(name);
        if (to > tier) tier = to;
    }

    // What carriers and phones write where a picture was: "[photo]", "<Media omitted>".
    private static bool StandsForPicture(string text)
    {
        for (var at = text.AsSpan().IndexOfAny('[', '<'); at >= 0; )
        {
            var rest = text.AsSpan(at + 1);
            foreach (var word in (ReadOnlySpan<string>)["photo", "foto", "image", "imagen", "picture", "pic]", "media", "video", "attachment", "adjunto", "mms"])
                if (rest.StartsWith(word, StringComparison.OrdinalIgnoreCase)) return true;
            var next = rest.IndexOfAny('[', '<');
            at = next < 0 ? -1 : at + 1 + next;
        }
        return false;
    }

    // "?", "hello??", "Hi. ??": question marks with no words of their own, or one word and two marks.
    private bool IsBareQuestion(string text)
    {
        if (text.AsSpan().TrimStart() is ['?', ..] || (tokens.Length == 1 && text.Contains("??", StringComparison.Ordinal))) return true;
        for (var at = text.IndexOf("??", StringComparison.Ordinal); at > 0; at = text.IndexOf("??", at + 2, StringComparison.Ordinal))
            if (text.AsSpan(0, at).TrimEnd() is [.., '.' or '!' or '…'] || text[at - 1] == '\n') return true;
        return false;
    }

    // Two words of another language, or two thirds of the words of none that is read here.
    private bool IsStrange(ReadOnlySpan<TextToken> part, int least)
    {
        var foreign = 0;
        foreach (ref readonly var token in part) foreign += token.Word >= 0 && token.Atoms.Has(atoms.Foreign) ? 1 : 0;
        var (letters, unknown, _) = Unread(part);
        return foreign >= 2 || (unknown >= least && unknown * 3 >= letters * 2);
    }

    // Words of two letters or more, how many of them are of no known language, and all words that no atom explains.
    private static (int Letters, int Unknown, int Unexplained) Unread(ReadOnlySpan<TextToken> part)
    {
        var (letters, unknown, unexplained, explainedTo) = (0, 0, 0, -1);
        for (var i = 0; i < part.Length; i++)
        {
            if (!part[i].Atoms.IsEmpty && part[i].Meant < 0) explainedTo = Math.Max(explainedTo, i + part[i].PhraseLength);
            var length = part[i].End - part[i].Start;
            if (part[i].IsNumber || part[i].Picture) continue;
            if (length >= 2) letters++;
            if (!part[i].Known && length >= 3) unknown++;
            if (i > explainedTo && length > 1) unexplained++;
        }
        return (letters, unknown, unexplained);
    }

    private bool NamesPart()
    {
        foreach (ref readonly var token in tokens)
            if (!token.ShortSlip && token.Atoms.Has(atoms.Part)) return true;
        return false;
    }

    private bool AnyQuestion()
    {
        foreach (ref readonly var token in tokens)
            if (token.Question) return true;
        return false;
    }

    // A bare number, or one with "pain" or "out of 5": 1 none .. 5 worst. Null when other words stand beside it.
    private int? PainCode()
    {
        var (numbers, value) = (0, 0.0);
        foreach (ref readonly var token in tokens)
        {
            if (token.IsNumber) value = numbers++ == 0 ? token.Number : value;
            else if (!token.Atoms.Has(atoms.Code)) return null;
        }
        return numbers is 1 or 2 ? value <= 10 && value == Math.Floor(value) ? (int)value : 0 : null;
    }
}
