using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Sources;
using AftercarePortal.Web.ContentFiles;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads a patient-side case: answers by linkId, and if given another price list and the clinic's figures. Faults name the field, never what was answered.</summary>
internal sealed class PatientCaseReader(ContentLibrary content, List<string> errors)
{
    // Invented amounts, for trying the command.
    private const string DemoList = "wrenfold-prices.v1";

    private static readonly string[] NotSure = ["not-sure", QuestionnaireReader.NotSureCode];

    internal sealed record Case(LocalDate Today, Answers Answers, PriceList Prices, ClinicFigures Figures, ExamFindings Exam, RangeOptions Options);

    /// <summary>Null, with every fault added, when the case contradicts itself or cannot be read.</summary>
    internal Case? Read(JsonObject root, LocalDate today)
    {
        var before = errors.Count;
        foreach (var key in root.Select(p => p.Key).Except(["today", "wishes", "answers", "prices", "figures", "exam", "cases", "promised", "past_scores", "injector"])) errors.Add($"{key}: a case has no such field");
        if (root["today"] is not null)
        {
            if (Text(root["today"]) is { } day && LocalDatePattern.Iso.Parse(day) is { Success: true } parsed) today = parsed.Value;
            else errors.Add("today: this must be a date, YYYY-MM-DD");
        }

        var answers = new Dictionary<string, Answer>(StringComparer.Ordinal);
        foreach (var part in (string[])["answers", "wishes"]) ReadAnswers(root[part], part, answers);
        var read = new Answers(answers);
        Contradictions(read, today);
        var fields = new FieldReader((at, reason) => errors.Add($"{at.TrimStart('/')}: {reason}"));
        var prices = root["prices"] is null ? content.PriceLists[DemoList] : PriceListReader.Read(root["prices"], "/prices", new ContentVersion("case-prices", 1), fields, content.Pricing);
        var figures = root["figures"] is null ? content.Pricing.ColdStart() : Figures(root["figures"], fields);
        var exam = Exam(root["exam"], "/exam", fields);
        if (root["cases"] is not null)
        {
            if (root["figures"] is not null) errors.Add("cases: give cases or figures, not both");
            var cases = fields.List(root["cases"], "/cases").Select((n, i) => Completed(n, i, fields)).ToList();
            if (errors.Count > before) return null;
            var learned = Learning.From(content.Pricing, cases, today);
            errors.AddRange(learned.LeftOut.Select(l => $"cases.{l.Id}: {l.Reason}"));
            figures = learned.Figures;
        }

        var options = Options(root, fields);
        return errors.Count == before ? new(today, read, prices, figures, exam, options) : null;
    }

    private void ReadAnswers(JsonNode? node, string part, Dictionary<string, Answer> answers)
    {
        if (node is null) return;
        if (node is not JsonObject row) { errors.Add($"{part}: this must be an object, linkId to answer"); return; }
        foreach (var (linkId, value) in row)
        {
            var at = $"{part}.{linkId}";
            var question = content.Candidacy.Questionnaire.Questions.FirstOrDefault(q => q.LinkId == linkId);
            if (question is null) errors.Add($"{at}: the questionnaire has no question with this linkId");
            else if (AnswerOf(value, question, at) is { } answer && !answers.TryAdd(linkId, answer) && !answers[linkId].Equals(answer))
                errors.Add($"{at}: answers and wishes say different things");
        }
    }

    private Answer? AnswerOf(JsonNode? node, Question question, string at)
    {
        if (node is null) return new Answer.Skipped();
        var values = new List<string>();
        foreach (var one in node as JsonArray ?? new JsonArray(node.DeepClone()))
        {
            if (one is JsonValue flag && flag.TryGetValue<bool>(out var yes)) values.Add(yes ? "yes" : "no");
            else if (Text(one) is { } text) values.Add(text);
            else { errors.Add($"{at}: an answer is a code, a list of codes, true or false, or null"); return null; }
        }

        if (values.Count == 0 || values is ["skipped"]) return new Answer.Skipped();
        if (values.Any(NotSure.Contains)) { if (values.Count == 1) return new Answer.NotSure(); errors.Add($"{at}: not sure cannot stand beside another answer"); return null; }
        if (values.Count > 1 && question.Kind != QuestionKind.Several) { errors.Add($"{at}: this question takes one answer"); return null; }
        var known = question.Kind switch
        {
            QuestionKind.YesNo => values.All(v => v is "yes" or "no"),
            QuestionKind.Choice or QuestionKind.Several => values.All(question.Offers),
            QuestionKind.Date => LocalDatePattern.Iso.Parse(values[0]).Success,
            _ => true,
        };
        if (known) return new Answer.Given([.. values.Distinct()]);
        errors.Add($"{at}: this is no answer to the question");
        return null;
    }

    private void Contradictions(Answers answers, LocalDate today)
    {
        var asked = content.Candidacy.Questionnaire.AskedGiven(answers).Select(q => q.LinkId).ToHashSet();
        foreach (var linkId in answers.ByLinkId.Where(a => a.Value is Answer.Given).Select(a => a.Key).Where(id => !asked.Contains(id)))
            errors.Add($"{linkId}: this question is not asked after the other answers; they contradict each other");
        if (answers.ValueOf("birth-date") is not { } text || LocalDatePattern.Iso.Parse(text) is not { Success: true, Value: var born }) return;
        if (born > today) errors.Add("birth-date: this lies after today");
        else if (Period.Between(born, today, PeriodUnits.Years).Years > 110) errors.Add("birth-date: this is more than 110 years ago");
    }

    private static RangeOptions Options(JsonObject root, FieldReader fields)
    {
        var promised = root["promised"] is null ? PromisedShare.Usual : fields.Number(root["promised"], "/promised", PromisedShare.Least, PromisedShare.Most);
        double[] scores = root["past_scores"] is null or JsonArray { Count: 0 } ? [] : fields.Numbers(root["past_scores"], "/past_scores", 0, 0.5);
        if (!PromisedShare.Allows(promised)) promised = PromisedShare.Usual;
        return new() { Calibration = Calibration.Of(scores, promised), Injector = Text(root["injector"]) };
    }

    private static ExamFindings Exam(JsonNode? node, string at, FieldReader fields)
    {
        if (node is null) return ExamFindings.None;
        var row = fields.Mapping(node, at, "laxity", "bone", "side_difference", "gonial_left", "gonial_right", "filler_here", "resistance");
        int? Level(string field) => row[field] is null ? null : (int)fields.Whole(row[field], $"{at}/{field}", 0, 10);
        double? Angle(string field) => row[field] is null ? null : fields.Number(row[field], $"{at}/{field}", 0, 360);
        bool? here = row["filler_here"] is JsonValue flag && flag.TryGetValue<bool>(out var found) ? found : null;
        if (here is null && row["filler_here"] is not null) fields.Fault($"{at}/filler_here", "This must be true or false.");
        return new(Level("laxity"), Level("bone"), Level("side_difference")) { GonialLeft = Angle("gonial_left"), GonialRight = Angle("gonial_right"), FillerHere = here, Resistance = Level("resistance") };
    }

    private CompletedCase Completed(JsonNode? node, int i, FieldReader fields)
    {
        var at = $"/cases/{i}";
        var row = fields.Mapping(node, at, "id", "on", "product", "answers", "amounts", "exam", "injector");
        var answers = new Dictionary<string, Answer>(StringComparer.Ordinal);
        ReadAnswers(row["answers"], $"cases.{i}.answers", answers);
        var day = LocalDatePattern.Iso.Parse(Text(row["on"]) ?? "");
        if (!day.Success) errors.Add($"cases.{i}.on: this must be a date, YYYY-MM-DD");
        var amounts = fields.List(row["amounts"], $"{at}/amounts").Select((n, k) =>
        {
            var amount = fields.Mapping(n, $"{at}/amounts/{k}", "region", "ml");
            return new CompletedCase.Amount(fields.Words(amount["region"], $"{at}/amounts/{k}/region"), fields.Number(amount["ml"], $"{at}/amounts/{k}/ml", 0, 50));
        }).ToList();
        var exam = Exam(row["exam"], $"{at}/exam", fields);
        return new(fields.Words(row["id"], $"{at}/id"), day.Success ? day.Value : default, Text(row["product"]), new(answers), amounts, exam.Laxity, exam.Bone, exam.SideDifference) { Injector = Text(row["injector"]), FillerHere = exam.FillerHere };
    }

    private static ClinicFigures Figures(JsonNode? node, FieldReader fields)
    {
        var row = fields.Mapping(node, "/figures", "cases", "nu", "s2", "parameters", "mean", "covariance");
        var figures = new ClinicFigures(
            (int)fields.Whole(row["cases"], "/figures/cases", 0, 1_000_000), fields.Number(row["nu"], "/figures/nu", 0.5, 1e7), fields.Number(row["s2"], "/figures/s2", 1e-6, 1000),
            [.. fields.List(row["parameters"], "/figures/parameters").Select((n, i) => fields.Words(n, $"/figures/parameters/{i}"))], fields.Numbers(row["mean"], "/figures/mean", -5, 5),
            [.. fields.List(row["covariance"], "/figures/covariance").Select((r, i) => fields.Numbers(r, $"/figures/covariance/{i}", -25, 25))]);
        if (figures.Fault() is { } fault) fields.Fault("/figures", fault + ".");
        return figures;
    }

    private static string? Text(JsonNode? node) => node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;
}
