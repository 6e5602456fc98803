using System.Text.RegularExpressions;

namespace AftercarePortal.Clinical.Tests.Intake;

/// <summary>How hard a text is to read, by published formulas. Syllables are counted by rule, so a whole text is right within about a grade.</summary>
internal static partial class Readability
{
    /// <summary>Flesch-Kincaid grade of an English text: 0.39 words a sentence + 11.8 syllables a word - 15.59.</summary>
    public static double Grade(string text)
    {
        var (words, sentences, syllables) = Counts(text, EnglishSyllables);
        return Grade(words / sentences, syllables / words);
    }

    /// <summary>The same from its two counts.</summary>
    public static double Grade(double wordsPerSentence, double syllablesPerWord) => 0.39 * wordsPerSentence + 11.8 * syllablesPerWord - 15.59;

    /// <summary>Szigriszt-Pazos ease of a Spanish text: 206.835 - 62.3 syllables a word - words a sentence; above 65 is easy, 50 to 65 ordinary.</summary>
    public static double Ease(string text)
    {
        var (words, sentences, syllables) = Counts(text, SpanishSyllables);
        return 206.835 - 62.3 * syllables / words - words / sentences;
    }

    /// <summary>Syllables of one English word: vowel groups, less silent endings, more where two vowels meet without melting.</summary>
    public static int EnglishSyllables(string word)
    {
        word = word.ToLowerInvariant();
        var count = Vowels().Count(word);
        if (word.Length > 2)
        {
            if (Silent().IsMatch(word)) count--;
            count -= SilentInside().Count(word);
        }

        return Math.Max(1, count + Parted().Count(word) + PartedOther().Count(word));
    }

    private static int SpanishSyllables(string word) => Math.Max(1, SpanishVowels().Count(word.ToLowerInvariant()));

    private static (double Words, double Sentences, double Syllables) Counts(string text, Func<string, int> syllables)
    {
        var words = Word().Matches(text).Select(m => m.Value).ToArray();
        return (words.Length, Math.Max(1, SentenceEnd().Count(text)), words.Sum(syllables));
    }

    [GeneratedRegex(@"[\p{L}']+")]
    private static partial Regex Word();

    [GeneratedRegex(@"[.?!]+[""”’')]*(?=\s|$)")]
    private static partial Regex SentenceEnd();

    [GeneratedRegex("[aeiouy]+")]
    private static partial Regex Vowels();

    [GeneratedRegex("[^aeiouyl]e$|[aeiouy]le$|[^aeiouycgszxh]es$|[^aeiouytd]ed$")]
    private static partial Regex Silent();

    [GeneratedRegex("[^aeiouyl]e(?=(ly|ment|ness|ful|less|some|man|men|work|body|thing|bread|life|line|where)$)")]
    private static partial Regex SilentInside();

    [GeneratedRegex("i[aou](?!us$)(?<!tio)(?<!sio)(?<!cia)(?<!tia)(?<!cio)(?<!gio)(?<!xio)")]
    private static partial Regex Parted();

    [GeneratedRegex("eo(?!u)|ua(?!$)(?<!qua)(?<!gua)|uo(?<!quo)|[aeouy]i(?=ng$)|sm$|thm$|[^q]ue(?=[rl])|yo|ye(?=[rs])|[aeiou]y[aeiou]|uous|mc")]
    private static partial Regex PartedOther();

    // A strong vowel or an accented weak one makes a syllable; weak ones lean on a neighbour.
    [GeneratedRegex("[iuü]?[aeoáéó][iuüy]?(?![íú])|[íú]|[iuü]+|y$")]
    private static partial Regex SpanishVowels();
}
