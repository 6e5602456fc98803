namespace AftercarePortal.Clinical.Triage;

/// <summary>
/// "Breathing, swallowing, voice all ok": a sentence that is nothing but a list of two or more bare names and says of all that they are fine.
/// Where no word of the rest of the text may belong to a sign, its names are no signs any more; each is still a danger that is named, so a person looks the same day.
/// </summary>
internal static class FineLists
{
    private const int Fewest = 2;

    /// <summary>Takes the signs from the names of such lists; any other word in the sentence, or a question, leaves it as it was.</summary>
    internal static void Mark(Span<TextToken> tokens, ReaderAtoms atoms, in AtomSet signs)
    {
        var named = default(AtomSet);
        named.Add(atoms.Danger);
        for (var i = Fewest; i < tokens.Length; i++)
        {
            if (!tokens[i].Atoms.Has(atoms.AllFine) || !EndsWith(tokens, i, atoms)) continue;
            var (from, names) = (i, 0);
            while (from > 0 && !tokens[from].Sentence && IsListed(tokens[from - 1], atoms))
            {
                from--;
                if (tokens[from].Atoms.Has(atoms.Listed)) names++;
            }
            if (names < Fewest || (from > 0 && !tokens[from].Sentence)) continue;
            if (HasSign(tokens[..from], atoms, signs) || HasSign(tokens[(i + tokens[i].PhraseLength + 1)..], atoms, signs)) return;
            for (var k = from; k < i; k++)
                if (tokens[k].Atoms.Has(atoms.Listed)) (tokens[k].Atoms, tokens[k].PhraseLength) = (named, 0);
        }
    }

    // The words of "all ok" close the sentence, at most thanked for, and nobody asks.
    private static bool EndsWith(ReadOnlySpan<TextToken> tokens, int fine, ReaderAtoms atoms)
    {
        var last = fine + tokens[fine].PhraseLength;
        if (tokens[last].Question) return false;
        var next = last + 1;
        while (next < tokens.Length && !tokens[next].Sentence && (tokens[next].Atoms.Has(atoms.Courtesy) || tokens[next].Atoms.Has(atoms.Fine)) && !tokens[next].Question) next++;
        return next == tokens.Length || tokens[next].Sentence;
    }

    // A sign may reach over the end of a sentence: "White since last night. Lips, voice all fine".
    private static bool HasSign(ReadOnlySpan<TextToken> tokens, ReaderAtoms atoms, in AtomSet signs)
    {
        foreach (ref readonly var token in tokens)
            if (token.Picture || token.IsNumber || (token.Atoms.Meets(signs) && !token.Atoms.Has(atoms.Courtesy) && !token.Atoms.Has(atoms.Fine))) return true;
        return false;
    }

    private static bool IsListed(in TextToken token, ReaderAtoms atoms) =>
        token.Known && token.Meant < 0 && (token.Atoms.Has(atoms.Listed) || token.Atoms.Has(atoms.And));
}
