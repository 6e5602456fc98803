using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Outcomes;

/// <summary>The cases beside the questions of a review.</summary>
public sealed class Questions_at_a_review
{
    private static readonly OutcomeQuestions Asked = Read();

    private static ContentDocument Load(string file)
    {
        var errors = new List<ContentError>();
        return ContentDocument.Load(Path.Combine(TriageContent.Root, "content", "outcome-questions", file), errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    private static OutcomeQuestions Read()
    {
        var errors = new List<ContentError>();
        return OutcomeQuestions.Read(Load("lower-face.v1.yaml"), errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    public static TheoryData<int> Cases => [.. Enumerable.Range(0, Load("lower-face.v1.cases.yaml").Root["cases"]!.AsArray().Count)];

    [Theory]
    [MemberData(nameof(Cases))]
    public void Tell_the_clinician_what_to_speak_about_and_which_reviews_went_unanswered(int number)
    {
        var row = Load("lower-face.v1.cases.yaml").Root["cases"]![number]!;
        var chosen = row["chosen"]!.AsObject().ToDictionary(c => c.Key, c => (string)c.Value!);
        Assert.Equal(row["talk"]!.AsArray().Select(t => (string)t!), Asked.TalkAbout(chosen).Select(t => t.Question.Id));
        Assert.Equal(row["unanswered"]!.AsArray().Select(d => d!.GetValue<int>()), Asked.Unanswered(row["day"]!.GetValue<int>(), [.. row["answered_on"]!.AsArray().Select(d => d!.GetValue<int>())]));
    }

    [Fact]
    public void Each_has_an_answer_to_speak_about_and_one_that_is_none_and_says_both_in_Spanish_otherwise() =>
        Assert.All(Asked.Questions, q =>
        {
            Assert.Contains(q.Options, o => o.Talk);
            Assert.Contains(q.Options, o => !o.Talk);
            Assert.All(q.Options.Select(o => o.Says).Append(q.Says), says => Assert.NotEqual(says["en"], says["es"]));
        });
}
