using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Aftercare;

/// <summary>The sheet, the dated texts, the reading of a reply and the answer to it send one sign to one number.</summary>
public sealed partial class One_policy_for_each_sign
{
    private static readonly string[] Replies = ["reply-urgent", "reply-urgent-nobody", "reply-same-day", "reply-same-day-nobody"];

    // In a patient's words, the sign of the sheet of this id. Ours, no outside labels.
    private static readonly Dictionary<string, (string English, string Spanish)> Told = new()
    {
        ["sight"] = ("my sight has changed, everything is blurry in one eye", "veo borroso con un ojo"),
        ["eye"] = ("I have strong pain behind my eye", "me duele mucho el ojo por detras"),
        ["stroke"] = ("my face is drooping and my arm is weak", "tengo la cara caida y un brazo debil"),
        ["breath"] = ("I have trouble breathing and my tongue is swollen", "me cuesta respirar y tengo la lengua hinchada"),
        ["swallow"] = ("I have trouble swallowing", "no puedo tragar"),
        ["neck"] = ("my neck is swelling up", "se me esta hinchando el cuello"),
        ["collapse"] = ("I fainted and I have chest pain", "me desmaye y tengo dolor de pecho"),
        ["two-signs"] = ("the skin has gone white and the pain is growing", "la piel se puso blanca y el dolor va a mas"),
        ["toxin"] = ("my voice is weak", "tengo la voz debil"),
        ["colour"] = ("the skin has gone white", "la piel se puso blanca"),
        ["pain"] = ("the pain is growing", "el dolor va a mas"),
        ["blister"] = ("I have blisters", "tengo ampollas"),
        ["grow"] = ("my bruise is growing fast", "el moreton crece rapido"),
        ["infection"] = ("the redness is spreading and it is hot", "la rojez se extiende y esta caliente"),
        ["lump"] = ("I have a new lump", "tengo un bulto nuevo"),
        ["worry"] = ("something worries me", "algo me preocupa"),
    };

    private static IEnumerable<(string Id, bool Emergency, ProductClass Product)> OnTheSheet()
    {
        var errors = new List<ContentError>();
        var sheet = ContentDocument.Load(Path.Combine(TriageContent.Root, "content", "sheet", "aftercare.v1.yaml"), errors)!;
        return sheet.Root["signs"]!.AsArray().Select(row => (row!["id"]!.GetValue<string>(), row["rings"]!.GetValue<string>() == "emergency",
            ProductClassNames.Parse(row["products"]?[0]?.GetValue<string>()) ?? ProductClass.CaHAFiller));
    }

    [Fact]
    public void Every_sign_of_the_sheet_told_on_the_first_day_is_read_as_what_the_sheet_says_to_ring()
    {
        Assert.Equal(Told.Keys.Order(), OnTheSheet().Select(s => s.Id).Order());
        Assert.All(OnTheSheet(), sign =>
        {
            foreach (var text in new[] { Told[sign.Id].English, Told[sign.Id].Spanish })
            {
                var tier = TriageContent.Lexicon.Read(text, new(1, [sign.Product], 0)).Tier;
                Assert.True(sign.Emergency ? tier == Tier.Emergency : tier is Tier.Urgent or Tier.SameDay, $"{sign.Id}, {text}: {tier}");
            }
        });
    }

    [Theory]
    [InlineData(14, Tier.Emergency)]
    [InlineData(15, Tier.Urgent)]
    public void Two_signs_of_skin_and_pain_are_an_emergency_as_long_as_the_sheet_says_so(int day, Tier expected)
    {
        var (english, spanish) = Told["two-signs"];
        Assert.All([english, spanish], text => Assert.Equal(expected, TriageContent.Lexicon.Read(text, new(day, [ProductClass.CaHAFiller], 0)).Tier));
    }

    public static TheoryData<string> For_patients => [.. AftercareContent.Texts.Ids.Where(id => !id.StartsWith("page-", StringComparison.Ordinal))];

    // A colour or a pain alone stands before the clinic's line; beside the emergency number only both together.
    [Theory]
    [MemberData(nameof(For_patients))]
    public void No_text_sends_one_sign_of_skin_or_pain_alone_to_the_emergency_number(string id)
    {
        Assert.DoesNotMatch(English(), BesideTheEmergencyNumber(AftercareContent.Texts.Template(id)).Replace("colour with pain", "both", StringComparison.OrdinalIgnoreCase));
        Assert.DoesNotMatch(Spanish(), BesideTheEmergencyNumber(AftercareContent.Spanish.Template(id)).Replace("color con dolor", "ambos", StringComparison.OrdinalIgnoreCase));
    }

    [Fact]
    public void An_answer_to_one_sign_says_that_a_second_is_an_emergency() => Assert.All(Replies, id =>
    {
        Assert.Contains("colour with pain", BesideTheEmergencyNumber(AftercareContent.Texts.Template(id)), StringComparison.OrdinalIgnoreCase);
        Assert.Contains("color con dolor", BesideTheEmergencyNumber(AftercareContent.Spanish.Template(id)), StringComparison.OrdinalIgnoreCase);
    });

    [Fact]
    public void The_answer_to_an_emergency_names_the_emergency_number_first_and_then_the_clinic() => Assert.All(["reply-emergency", "reply-emergency-nobody"], id =>
    {
        foreach (var texts in new[] { AftercareContent.Texts, AftercareContent.Spanish })
            Assert.InRange(texts.Template(id).IndexOf("{emergency}", StringComparison.Ordinal), 1, texts.Template(id).IndexOf("{clinic-line}", StringComparison.Ordinal));
    });

    private static string BesideTheEmergencyNumber(string text)
    {
        var end = text.IndexOf("{emergency}", StringComparison.Ordinal);
        return end < 0 ? "" : text[(text[..end].LastIndexOfAny(['.', '?', '}']) + 1)..end];
    }

    [GeneratedRegex(@"(?i)\b(colour|pain|white|grey|blister|cold|lump|fever)")]
    private static partial Regex English();

    [GeneratedRegex(@"(?i)\b(color|dolor|blanca|gris|ampolla|fr[ií]a|bulto|fiebre)")]
    private static partial Regex Spanish();
}
