using System.Text.Json;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Aftercare;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>How often each answer to one question about the result was given: each treatment counts once, with its latest answer. Counts only; no score is made of them.</summary>
/// <param name="Question">In the clinic's own language.</param>
/// <param name="Answers">Each option with how often it was chosen; of options no version in force knows there is nothing.</param>
/// <param name="Answered">How many treatments answered it.</param>
internal sealed record SaidOfResult(string Question, IReadOnlyList<(string Says, int Times)> Answers, int Answered)
{
    public static IReadOnlyList<SaidOfResult> Of(OutcomeQuestions questions, IReadOnlyList<ReviewAnswerRow> rows)
    {
        var answers = rows.Select(r => (r.TreatmentId, r.AnsweredAt, r.Id, Chosen: JsonSerializer.Deserialize<Dictionary<string, string>>(r.Chosen)!)).ToList();
        return
        [
            .. from question in questions.Questions
               let latest = answers.Where(a => a.Chosen.ContainsKey(question.Id)).GroupBy(a => a.TreatmentId)
                   .Select(g => g.OrderBy(a => a.AnsweredAt).ThenBy(a => a.Id).Last().Chosen[question.Id]).ToList()
               select new SaidOfResult(question.Says[Texts.DefaultLanguage], [.. question.Options.Select(o => (o.Says[Texts.DefaultLanguage], latest.Count(l => l == o.Id)))], latest.Count),
        ];
    }
}
