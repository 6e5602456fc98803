namespace AftercarePortal.Clinical.Triage;

/// <summary>One word, number or picture sign of a raw text, looked up.</summary>
internal struct TextToken
{
    /// <summary>First UTF-16 index in the raw text.</summary>
    internal int Start;

    /// <summary>One past the last index.</summary>
    internal int End;

    /// <summary>Half steps from the beginning: a word is two, a little word one, a sentence end four.</summary>
    internal int Place;

    /// <summary>Number in the word list of the lexicon, -1 when it is not there.</summary>
    internal int Word;

    /// <summary>The word it may be a slip of, -1 when there is none.</summary>
    internal int Meant;

    /// <summary>Another word it may be a slip of, -1 when there is none.</summary>
    internal int OrMeant;

    /// <summary>How many tokens the longest phrase that begins here has beyond it, 0 or more.</summary>
    internal int PhraseLength;

    /// <summary>The value of a number; NaN for words.</summary>
    internal double Number;

    /// <summary>What stands after the slash of "8/10"; 0 without one.</summary>
    internal double Of;

    /// <summary>Everything it stands for.</summary>
    internal AtomSet Atoms;

    /// <summary>Comma, bracket or sentence end before it.</summary>
    internal bool Break;

    /// <summary>Sentence end before it.</summary>
    internal bool Sentence;

    /// <summary>A question mark follows before the next word.</summary>
    internal bool Question;

    /// <summary>An everyday word, a word of the lexicon, a slip of one, or a sign.</summary>
    internal bool Known;

    /// <summary>A short word that was read as a slip of another: not enough for a sign on its own in a longer text.</summary>
    internal bool ShortSlip;

    /// <summary>A picture sign or an emoticon.</summary>
    internal bool Picture;

    /// <summary>Stands inside a phrase that is a sign, so a "no" in it denies nothing.</summary>
    internal bool InSign;

    /// <summary>Inside the scope of a denial.</summary>
    internal bool Denied;

    /// <summary>A phrase that is a sign begins here, and a denial stands right before it.</summary>
    internal bool DeniedPhrase;

    internal readonly bool IsNumber => !double.IsNaN(Number);
}
