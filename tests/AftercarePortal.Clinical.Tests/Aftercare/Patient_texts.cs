using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Testing;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Aftercare;

public sealed partial class Patient_texts
{
    private static readonly Dictionary<string, string> Filled = new()
    {
        ["emergency"] = "911", ["clinic-line"] = "+1 212 555 0142", ["clinic"] = "Wrenfold Clinic", ["ref"] = "7KQ", ["link"] = "https://portal.example/p/7KQ", ["time"] = "10:30", ["day"] = "30",
    };

    private static IEnumerable<string> ForPatients => AftercareContent.Texts.Ids.Where(id => !id.StartsWith("page-", StringComparison.Ordinal));

    private static IEnumerable<string> Steps => AftercareContent.Sequences.Sequences.SelectMany(s => s.Steps).Select(s => s.TextId)
        .Concat(AftercareContent.Sequences.Rules.Shared.SelectMany(r => r.Instead.Values)).Distinct();

    public static TheoryData<string> All => [.. AftercareContent.Texts.Ids];

    public static TheoryData<string> Of_patients => [.. ForPatients];

    public static TheoryData<string> Of_steps => [.. Steps];

    [Theory]
    [MemberData(nameof(All))]
    public void Never_clear_anybody(string id) => Assert.DoesNotMatch(Clearing(), AftercareContent.Texts.Template(id));

    [Theory]
    [InlineData("You are FINE.")]
    [InlineData("That is normal")]
    [InlineData("don't worry")]
    [InlineData("There is nothing to worry about")]
    [InlineData("it is safe")]
    [InlineData("You are suitable")]
    public void The_rule_above_can_fail(string text) => Assert.Matches(Clearing(), text);

    [Theory]
    [MemberData(nameof(Of_patients))]
    public void Name_the_emergency_number_and_the_clinic(string id)
    {
        Assert.Contains("{emergency}", AftercareContent.Texts.Template(id));
        if (!id.StartsWith("reply-crisis", StringComparison.Ordinal)) Assert.Contains("{clinic-line}", AftercareContent.Texts.Template(id));      // one number only where a second would distract
    }

    [Theory]
    [MemberData(nameof(Of_patients))]
    [Source("3GPP TS 23.038, from memory, unchecked", at: "basic character set; 160 characters in one part")]
    public void Fit_one_part_of_a_text(string id)
    {
        var text = AftercareContent.Texts.Fill(id, Filled);
        Assert.True(SmsLength.IsBasic(text) && SmsLength.IsOnePart(text), $"{id}: {SmsLength.Units(text)}");
    }

    // A step may be held for days: only the day it goes out may stand in it.
    [Theory]
    [MemberData(nameof(Of_steps))]
    public void Of_a_step_name_no_day_of_their_own(string id)
    {
        foreach (var texts in new[] { AftercareContent.Texts, AftercareContent.Spanish }) Assert.DoesNotMatch(NamedDay(), texts.Template(id));
    }

    [Theory]
    [InlineData("Day 3: pain")]
    [InlineData("Dia 3: dolor")]
    [InlineData("on the 2nd day")]
    public void The_rule_of_days_can_fail(string text) => Assert.Matches(NamedDay(), text);

    [GeneratedRegex("(?i)\\b(day|d[ií]a) \\d|\\b\\d+(st|nd|rd|th)? (day|d[ií]a)|yesterday|ayer")]
    private static partial Regex NamedDay();

    [Theory]
    [MemberData(nameof(Of_steps))]
    public void Of_a_step_warn_of_sight_breathing_speech_and_swallowing(string id) =>
        Assert.Matches("(?i)eyes, breath, speech, swallowing(, weak face)?: (call )?\\{emergency\\}", AftercareContent.Texts.Template(id));

    [Theory]
    [MemberData(nameof(Of_steps))]
    public void Of_a_step_stand_in_Spanish_too_and_fit_one_part(string id)
    {
        var text = AftercareContent.Spanish.Fill(id, Filled);
        Assert.True(SmsLength.IsBasic(text) && SmsLength.IsOnePart(text), $"{id}: {SmsLength.Units(text)}");
        Assert.Matches("(?i)ojos, aire, habla, tragar(, cara debil)?: 911\\.$", text);
        Assert.Contains(Filled["clinic-line"], text);
        Assert.DoesNotMatch(@"(?i)\b(normal|segur[oa]|no se preocupe|esta bien|apt[oa])\b", text);
    }

    // Swallowing is an emergency sign on the sheet and in every text: what stands before the clinic's line must not say otherwise.
    [Theory]
    [MemberData(nameof(Of_steps))]
    public void Of_a_step_send_nobody_who_cannot_swallow_to_the_clinic(string id)
    {
        Assert.DoesNotMatch("(?i)swallow|chok", BeforeTheClinic(AftercareContent.Texts.Template(id)));
        Assert.DoesNotMatch("(?i)tragar|ahog", BeforeTheClinic(AftercareContent.Spanish.Template(id)));
    }

    // A sudden weak face on days 0 to 2 may be a stroke; later it is more often the toxin, and the clinic looks.
    [Fact]
    public void Send_a_weak_face_on_the_first_days_after_toxin_to_the_emergency_number()
    {
        var toxin = AftercareContent.Sequences.Sequences.Single(s => s.For == ProductClass.BotulinumToxinTypeA);
        var early = toxin.Steps.Where(s => s.Day <= 2 && s.Kind is not StepKind.Appointment).Select(s => s.TextId).ToList();
        var mixed = early.Select(id => AftercareContent.Sequences.Rules.Shared.Single().Instead[id]).Append("aftercare-mixed-evening");
        Assert.NotEmpty(early);
        Assert.All(early.Concat(mixed), id =>
        {
            Assert.Contains("swallowing, weak face", AftercareContent.Texts.Template(id));
            Assert.Contains("tragar, cara debil", AftercareContent.Spanish.Template(id));
        });
    }

    [Fact]
    public void Send_a_weak_face_later_after_toxin_to_the_clinic_in_every_text_alike()
    {
        var toxin = AftercareContent.Sequences.Sequences.Single(s => s.For == ProductClass.BotulinumToxinTypeA);
        var later = toxin.Steps.Where(s => s.Day is > 2 and <= 14 && s.Kind is StepKind.Safety or StepKind.CheckIn).Select(s => s.TextId).Distinct().Where(id => id is not ("aftercare-photo" or "aftercare-toxin-late" or "aftercare-toxin-day-1")).ToList();
        Assert.Equal(2, later.Count);
        Assert.All(later, id =>
        {
            Assert.Matches("(?i)weak smile", BeforeTheClinic(AftercareContent.Texts.Template(id)));
            Assert.Matches("(?i)cara[^.?]* debil", BeforeTheClinic(AftercareContent.Spanish.Template(id)));
            Assert.DoesNotContain("weak face", AftercareContent.Texts.Template(id));
            Assert.DoesNotContain("cara debil:", AftercareContent.Spanish.Template(id));
        });
    }

    // Blisters on days 2 to 5 and infection up to day 14 are named after filler, and no less when toxin was given too.
    [Fact]
    public void Name_blisters_and_fever_also_when_toxin_was_given_with_filler()
    {
        foreach (var id in new[] { "aftercare-filler-later", AftercareContent.Sequences.Rules.Shared.Single().Instead["aftercare-filler-later"] })
        {
            var (english, spanish) = (BeforeTheClinic(AftercareContent.Texts.Template(id)), BeforeTheClinic(AftercareContent.Spanish.Template(id)));
            Assert.All(["blisters", "fever", "lump"], word => Assert.Contains(word, english));
            Assert.All(["ampollas", "fiebre", "bulto"], word => Assert.Contains(word, spanish));
        }
    }

    [Theory]
    [InlineData("reply-urgent")]
    [InlineData("reply-urgent-nobody")]
    [InlineData("reply-same-day")]
    [InlineData("reply-same-day-nobody")]
    public void Of_a_reply_name_swallowing_beside_the_emergency_number(string id)
    {
        Assert.Matches(@"swallowing[^.?]*\{emergency\}", AftercareContent.Texts.Template(id));
        Assert.Matches(@"tragar[^.?]*\{emergency\}", AftercareContent.Spanish.Template(id));
    }

    private static string BeforeTheClinic(string text) => text[..text.IndexOf("{clinic-line}", StringComparison.Ordinal)];

    // 206.84 - 60 syllables a word - 1.02 words a sentence; 80 and more is "easy" or better (grades 5 and 6).
    [Theory]
    [MemberData(nameof(Of_steps))]
    [Source("Fernandez Huerta 1959, from memory, unchecked", at: "206.84 - 0.60 syllables per 100 words - 1.02 words per sentence; 80 to 90: grade 6, easy")]
    public void Of_a_step_are_easy_to_read_in_Spanish(string id)
    {
        var text = AftercareContent.Spanish.Fill(id, Filled).Replace(Filled["clinic-line"], "alli").Replace("911", "alli");
        var words = Word().Matches(text).Select(m => m.Value).ToList();
        var ease = 206.84 - (60.0 * words.Sum(w => Math.Max(1, SpanishVowels().Count(w.ToLowerInvariant()))) / words.Count) - (1.02 * words.Count / Sentence().Count(text));
        Assert.True(ease >= 80, $"{id}: {ease:0.0}");
    }

    [Theory]
    [MemberData(nameof(Of_steps))]
    [Source("Kincaid et al. 1975, from memory, unchecked", at: "grade = 0.39 words per sentence + 11.8 syllables per word - 15.59")]
    public void Of_a_step_are_easy_to_read(string id)
    {
        var text = AftercareContent.Texts.Fill(id, Filled).Replace(Filled["clinic-line"], "us").Replace("911", "help");
        var words = Word().Matches(text).Select(m => m.Value).ToList();
        var sentences = Sentence().Count(text);
        var grade = (0.39 * words.Count / sentences) + (11.8 * words.Sum(Syllables) / words.Count) - 15.59;
        Assert.True(grade <= 6, $"{id}: grade {grade:0.0}");
    }

    [Theory]
    [InlineData("swallowing", 3)]
    [InlineData("breath", 1)]
    [InlineData("blisters", 2)]
    [InlineData("daylight", 2)]
    [InlineData("voice", 1)]
    public void Syllables_are_counted(string word, int expected) => Assert.Equal(expected, Syllables(word));

    [Fact]
    public void Are_not_filled_with_a_hole() =>
        Assert.Throws<InvalidOperationException>(() => AftercareContent.Texts.Fill("help", new Dictionary<string, string> { ["clinic"] = "Wrenfold Clinic" }));

    [Theory]
    [InlineData("page-text")]
    [InlineData("page-voice")]
    [InlineData("page-intake")]
    [InlineData("page-intake-voice")]
    public void To_staff_carry_no_clinical_word(string id) =>
        Assert.DoesNotMatch("(?i)\\b(pain|skin|face|eye|filler|toxin|breath|blister|swell)", AftercareContent.Texts.Template(id));

    // Vowel groups, less a silent e at the end: rough, and checked on the words above.
    private static int Syllables(string word)
    {
        var count = Vowels().Count(word.ToLowerInvariant());
        return Math.Max(1, SilentE().IsMatch(word.ToLowerInvariant()) ? count - 1 : count);
    }

    [GeneratedRegex(@"\b(fine|normal|safe|suitable)\b|(do not|don't) worry|nothing to worry", RegexOptions.IgnoreCase)]
    private static partial Regex Clearing();

    [GeneratedRegex("[A-Za-z']+")]
    private static partial Regex Word();

    [GeneratedRegex(@"[.?!:](\s|$)")]
    private static partial Regex Sentence();

    // Two strong vowels are two syllables, a weak beside a strong is one.
    [GeneratedRegex("(?<![qg])[iu]?[aeo][iuy]?|[iu]|(?<=[qg])u?[aeoi]")]
    private static partial Regex SpanishVowels();

    [GeneratedRegex("[aeiouy]+")]
    private static partial Regex Vowels();

    [GeneratedRegex("[^aeiouyl]e$")]
    private static partial Regex SilentE();
}
