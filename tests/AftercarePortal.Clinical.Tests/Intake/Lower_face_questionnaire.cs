using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Intake;

public sealed partial class Lower_face_questionnaire
{
    private static readonly IReadOnlyList<Question> Questions = CandidacyContent.Questionnaire.Questions;

    [Fact]
    public void A_healthy_person_answers_about_thirty_questions() => Assert.InRange(CandidacyContent.Questionnaire.AskedGiven(CandidacyContent.Base).Count, 25, 32);

    [Fact]
    public void No_two_questions_bear_the_same_short_name() =>
        Assert.All(Questions, q => Assert.True(q.Name.Length <= 40 && Questions.Count(other => other.Name == q.Name) == 1, q.Name));

    [Theory]
    [InlineData("birth-date", QuestionKind.Date, "")]
    [InlineData("sex", QuestionKind.Choice, "male female other")]
    [InlineData("weight-change", QuestionKind.YesNo, "")]
    [InlineData("tooth-loss", QuestionKind.YesNo, "")]
    [InlineData("earlier-filler", QuestionKind.YesNo, "")]
    [InlineData("earlier-filler-when", QuestionKind.Choice, "within-12-months 12-24-months longer")]
    [InlineData("wish-regions", QuestionKind.Several, "jaw-angle jaw-body pre-jowl chin labiomental-fold neck-bands")]
    [InlineData("wish-product", QuestionKind.Choice, "caha-filler ha-filler unsure")]
    [InlineData("wish-strength", QuestionKind.Choice, "subtle clear strong")]
    [InlineData("side-difference", QuestionKind.Choice, "none slight marked")]
    [InlineData("wish-words", QuestionKind.LongText, "")]
    public void The_price_range_finds_its_questions(string linkId, QuestionKind kind, string codes)
    {
        var question = Questions.Single(q => q.LinkId == linkId);
        Assert.Equal((kind, codes), (question.Kind, string.Join(' ', question.Options.Select(o => o.Code))));
    }

    [Fact]
    public void Every_question_says_why_it_is_asked() => Assert.All(Questions, q => Assert.False(string.IsNullOrWhiteSpace(q.WhyWeAsk), q.LinkId));

    [Fact]
    public void Not_sure_or_leaving_out_is_possible_everywhere_but_at_the_birth_date() =>
        Assert.Equal(["birth-date"], Questions.Where(q => q.Required && !q.MayBeNotSure).Select(q => q.LinkId));

    [Fact]
    public void Not_sure_about_recent_events_asks_for_the_days()
    {
        string[] days = ["vaccine-on", "dental-on", "well-since", "filler-on"];
        string[] Asked(Answer recent) => [.. CandidacyContent.Questionnaire.AskedGiven(new(new Dictionary<string, Answer> { ["recent"] = recent })).Select(q => q.LinkId).Intersect(days)];
        Assert.Equal(days, Asked(new Answer.NotSure()));
        Assert.Equal(["dental-on"], Asked(new Answer.Given("dental")));
        Assert.Empty(Asked(new Answer.Given("none")));
    }

    [Fact]
    public void Every_extension_is_one_of_the_standards_own()
    {
        var text = File.ReadAllText(Path.Combine(CandidacyContent.Folder, "questionnaires", "lower-face.v1.json"));
        var urls = ExtensionUrl().Matches(text).Select(m => m.Groups[1].Value.Replace("http://hl7.org/fhir/StructureDefinition/", "")).Distinct().Order(StringComparer.Ordinal);
        Assert.Equal(["cqf-expression", "maxValue", "minValue", "questionnaire-itemControl", "questionnaire-optionExclusive", "translation"], urls);
    }

    [Fact]
    public void A_questionnaire_that_cannot_be_honoured_is_reported_with_its_place()
    {
        (Action<JsonObject> Break, string Pointer)[] faults =
        [
            (q => q["status"] = "retired", "/status"),
            (q => q["item"]![1]!["linkId"] = "birth-date", "/item/1/linkId"),
            (q => q["item"]![1]!["type"] = "reference", "/item/1/type"),
            (q => q["item"]![1]!.AsObject().Remove("answerOption"), "/item/1/answerOption"),
            (q => q["item"]![9]!["enableWhen"]![0]!["question"] = "wish-words", "/item/9/enableWhen/0/question"),
            (q => q["item"]![9]!["enableWhen"]![0]!["operator"] = "!=", "/item/9/enableWhen/0/operator"),
            (q => q["item"]![9]!["enableWhen"]![0]!["answerCoding"]!["code"] = "flood", "/item/9/enableWhen/0"),
            (q => q["item"]![9]!.AsObject().Remove("enableBehavior"), "/item/9/enableBehavior"),
            (q => q["item"]![0]!["modifierExtension"] = new JsonArray(), "/item/0/modifierExtension"),
        ];
        foreach (var (@break, pointer) in faults)
        {
            var broken = CandidacyContent.QuestionnaireFile.Root.DeepClone().AsObject();
            @break(broken);
            var errors = new List<ContentError>();
            Assert.Null(QuestionnaireReader.Read(CandidacyContent.FromText("questionnaire.json", broken.ToJsonString()), errors));
            Assert.Contains(errors, e => e.Path == pointer);
        }
    }

    [GeneratedRegex("\"url\": \"(http://hl7[^\"]*|[^\"]*StructureDefinition[^\"]*)\"")]
    private static partial Regex ExtensionUrl();
}
