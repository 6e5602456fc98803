namespace AftercarePortal.Clinical.Triage;

/// <summary>Which words a "no" covers, and how a sign is told: asked, feared, long past, gone, of somebody else.</summary>
/// <remarks>After NegEx (Chapman et al. 2001) and ConText (Harkema et al. 2009), kept much narrower: doubt never denies.</remarks>
internal static class Scopes
{
    private const int YearAfter = 5;

    /// <summary>
    /// Marks words as denied: only an exact "no" or the like at most three words before, up to the first sign, or on through "or".
    /// A bare word after a comma is not covered.
    /// </summary>
    internal static void MarkDenied(Span<TextToken> tokens, ReaderAtoms atoms, in AtomSet signs)
    {
        for (var i = 0; i < tokens.Length; i++)
        {
            if (tokens[i].InSign || !tokens[i].Atoms.Has(atoms.Deny) || IsTwice(tokens, i, atoms)) continue;
            var met = false;
            for (var (k, left) = (i + 1, 3); k < tokens.Length && left > 0; k++, left--)
            {
                if (tokens[k].Break || tokens[k].Atoms.Has(atoms.But)) break;
                if (tokens[k].Atoms.Has(atoms.Or)) { (left, met) = (4, false); continue; }
                // "no me duele": a phrase is denied only by the word right before it, and only where a denial may drop the sign.
                if (k == i + 1 && tokens[k].InSign && tokens[k].PhraseLength > 0) { tokens[k].DeniedPhrase = true; break; }
                var sign = tokens[k].Atoms.Meets(signs) && !tokens[k].InSign;
                if (met && !sign) break;
                if (met) { tokens[k].Denied = k == i + 2; break; }
                tokens[k].Denied = sign;
                met = sign;
            }
        }
    }

    // "can't look left without pain": what is not possible without it is there.
    private static bool IsTwice(ReadOnlySpan<TextToken> tokens, int i, ReaderAtoms atoms)
    {
        if (!tokens[i].Atoms.Has(atoms.Without)) return false;
        for (var k = i - 1; k >= 0 && k >= i - 8 && !tokens[k + 1].Break; k--)
            if (tokens[k].Atoms.Has(atoms.CantWord)) return true;
        return false;
    }

    /// <summary>How the words from <paramref name="first"/> to <paramref name="last"/> are told.</summary>
    internal static string Status(ReadOnlySpan<TextToken> tokens, int first, int last, ReaderAtoms atoms)
    {
        var from = first;
        while (from > 0 && !tokens[from].Sentence) from--;
        var to = last + 1;
        while (to < tokens.Length && !tokens[to].Sentence) to++;
        var now = Any(tokens, from, to, atoms.Now);
        if (!now && Any(tokens, from, first, atoms.WhatIf)) return "hypothetical";
        if (!Any(tokens, 0, tokens.Length, atoms.Now) && IsLongAgo(tokens, from, last, to, atoms)) return "historical";
        for (var k = last + 1; k < to && k <= last + 6 && !tokens[k].Atoms.Has(atoms.But); k++)
            if (tokens[k].Atoms.Has(atoms.Resolved)) return "resolved";
        for (var k = from; k < to; k++)
            if (tokens[k].Question) return "asked";
        if (Any(tokens, from, to, atoms.Hedge) || DenialReaches(tokens, first, last, atoms)) return "hedged";
        return Any(tokens, from, first, atoms.Other) ? "other-person" : "present";
    }

    // "years ago" anywhere in the sentence; a bare year ("in 2009") only just after the sign, in its own clause.
    private static bool IsLongAgo(ReadOnlySpan<TextToken> tokens, int from, int last, int to, ReaderAtoms atoms)
    {
        for (var k = from; k < to; k++)
            if (!tokens[k].IsNumber && tokens[k].Atoms.Has(atoms.LongAgo)) return true;
        for (var k = last + 1; k < to && k <= last + YearAfter && !tokens[k].Break && !tokens[k].Atoms.Has(atoms.But); k++)
            if (tokens[k].IsNumber && tokens[k].Atoms.Has(atoms.LongAgo)) return true;
        return false;
    }

    /// <summary>
    /// Whether a denial reaches the words by the published method: a trigger before them in the sentence with no "but" between, or one just after.
    /// Too wide to lower anything; it makes a sign hedged, and is what the published test sentences measure.
    /// </summary>
    internal static bool DenialReaches(ReadOnlySpan<TextToken> tokens, int first, int last, ReaderAtoms atoms)
    {
        for (var k = first - 1; k >= 0 && !tokens[k + 1].Sentence && !tokens[k].Atoms.Has(atoms.But); k--)
            if (!tokens[k].InSign && !tokens[k].Atoms.Has(atoms.NoDenial) && (tokens[k].Atoms.Has(atoms.Deny) || tokens[k].Atoms.Has(atoms.DenyFar))) return true;
        for (var k = last + 1; k < tokens.Length && k <= last + 5 && !tokens[k].Sentence && !tokens[k].Atoms.Has(atoms.But); k++)
            if (tokens[k].Atoms.Has(atoms.DenyAfter)) return true;
        return false;
    }

    private static bool Any(ReadOnlySpan<TextToken> tokens, int from, int to, int atom)
    {
        for (var k = from; k < to; k++)
            if (tokens[k].Atoms.Has(atom)) return true;
        return false;
    }
}
