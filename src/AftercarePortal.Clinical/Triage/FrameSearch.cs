namespace AftercarePortal.Clinical.Triage;

/// <summary>A frame with its atoms by number, and where it holds in a text.</summary>
internal sealed class FrameSearch
{
    private readonly int[] atoms;
    private const int WordsAfter = 4;
    private readonly AtomSet without;
    private readonly AtomSet notAfter;
    private readonly int danger;
    private readonly AtomSet joins;
    private readonly AtomSet ends;             // "but", "is that normal": what follows is said of something else
    private readonly TriageFrame frame;
    private readonly int within;               // in half steps

    internal FrameSearch(TriageFrame frame, Func<string, int> numberOf, int[] ends, int danger, int[] joins)
    {
        this.frame = frame;
        within = frame.Within * 2;
        this.danger = danger;
        foreach (var join in joins) this.joins.Add(join);
        foreach (var end in ends) this.ends.Add(end);
        atoms = [.. frame.Atoms.Select(numberOf)];
        foreach (var atom in frame.Without) without.Add(numberOf(atom));
        foreach (var atom in frame.NotAfter) notAfter.Add(numberOf(atom));
    }

    /// <summary>Whether all its atoms are there at all.</summary>
    internal bool MayHold(in AtomSet present)
    {
        foreach (var atom in atoms)
            if (!present.Has(atom)) return false;
        return true;
    }

    /// <summary>Whether it holds with its first atom at a word; <paramref name="used"/> gets one word for each atom.</summary>
    internal bool HoldsAt(ReadOnlySpan<TextToken> tokens, int at, Span<int> used)
    {
        if (!tokens[at].Atoms.Has(atoms[0]) || (frame.MaxWords > 0 && Stretch(tokens, at) > frame.MaxWords)) return false;
        if (atoms.Length == 1 && tokens[at].ShortSlip && tokens[at].PhraseLength == 0 && tokens.Length > 4) return false;
        used[0] = at;
        for (var k = 1; k < atoms.Length; k++)
        {
            var here = Nearest(tokens, at, k, used, denied: false);
            if (here < 0) here = Nearest(tokens, at, k, used, denied: true);
            if (here < 0) return false;
            used[k] = here;
        }
        return (without.IsEmpty && notAfter.IsEmpty) || !Spoilt(tokens, at);
    }

    internal int Count => atoms.Length;

    /// <summary>The atom it begins with.</summary>
    internal int First => atoms[0];

    // A word outside every denial is taken before a nearer one inside.
    private int Nearest(ReadOnlySpan<TextToken> tokens, int at, int k, Span<int> used, bool denied)
    {
        var here = -1;
        for (var i = at + 1; i < tokens.Length && tokens[i].Place - tokens[at].Place <= within; i++)
            if (Fits(tokens, i, k, used, denied)) { here = i; break; }
        for (var i = at - 1; !frame.InOrder && i >= 0 && tokens[at].Place - tokens[i].Place <= within; i--)
            if (Fits(tokens, i, k, used, denied)) return here < 0 || tokens[at].Place - tokens[i].Place < tokens[here].Place - tokens[at].Place ? i : here;
        return here;
    }

    private bool Fits(ReadOnlySpan<TextToken> tokens, int i, int k, Span<int> used, bool denied) =>
        tokens[i].Denied == denied && tokens[i].Atoms.Has(atoms[k]) && !used[..k].Contains(i) && (!frame.InOrder || i > used[k - 1]);

    // Only by words of the same clause, so that what is said before or after never takes a sign away; a picture sign is never spoilt.
    private bool Spoilt(ReadOnlySpan<TextToken> tokens, int at)
    {
        if (tokens[at].Picture) return false;
        if (tokens[at].Atoms.Meets(without)) return true;
        for (var i = at - 1; i >= 0 && !tokens[i + 1].Break && !tokens[i].Atoms.Meets(ends) && tokens[at].Place - tokens[i].Place <= within; i--)
            if (tokens[i].Atoms.Meets(without)) return true;
        var another = false;            // "eye hurts breathing is fine": the second has its own words after it; "breathing and vision fine" is one list
        for (var i = at + 1; i < tokens.Length && !tokens[i].Break && !tokens[i].Atoms.Meets(ends) && tokens[i].Place - tokens[at].Place <= within; i++)
        {
            another |= i > at + tokens[at].PhraseLength && tokens[i].Atoms.Has(danger) && !tokens[i - 1].Atoms.Meets(joins);
            if (tokens[i].Atoms.Meets(without) || (!another && i - at <= WordsAfter && tokens[i].Atoms.Meets(notAfter))) return true;
        }
        return false;
    }

    private static int Stretch(ReadOnlySpan<TextToken> tokens, int at)
    {
        var from = at;
        while (from > 0 && !tokens[from].Break) from--;
        var to = at + 1;
        while (to < tokens.Length && !tokens[to].Break) to++;
        return to - from;
    }
}
