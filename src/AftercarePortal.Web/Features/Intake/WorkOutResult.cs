using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Works out what an intake comes to and keeps it as it will be shown.</summary>
internal sealed class WorkOutResult(PortalDb db, ContentLibrary content, MakeQuote quote, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        /// <summary>This question is still open.</summary>
        public sealed record NotComplete(int Number) : Outcome;
        /// <summary>The intake kindly ends here.</summary>
        public sealed record Stops : Outcome;
        public sealed record AlreadySent : Outcome;
        /// <summary>An answer came in, or it was sent, while this was worked out: nothing was kept, look again.</summary>
        public sealed record Meanwhile : Outcome;
    }

    public async Task<Outcome> Run(OpenIntake.Opened opened, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (opened.Intake.SubmittedAt is not null) return new Outcome.AlreadySent();

        // decide
        var signs = content.Lexicon.SignsIn(opened.Questionnaire, opened.Answers);
        var findings = opened.Rules.FindingsFor(opened.Answers, opened.Today, signs);
        IReadOnlyList<string> ChangedBy(Finding finding) =>
            [.. opened.Rules.WouldChange(finding, opened.Answers, opened.Today, signs).Select(linkId => opened.Questionnaire.Find(linkId)!.Name)];
        if (findings.All.Any(f => f is { Stops: true, FromDoubt: false })) return new Outcome.Stops();
        if (opened.NextOpen is { } next) return new Outcome.NotComplete(opened.NumberOf(next));
        var price = await quote.Run(opened.Clinic, opened.Intake.Id, opened.Answers, opened.Today, examination: null, injector: null, now, stop);
        var open = price as PriceOutcome.CannotSayYet;
        var result = new IntakeResult(
            LocalDatePattern.Iso.Format(opened.Today), opened.Questionnaire.Version.ToString(), findings.Version.ToString(),
            [.. opened.Asked.Select(q => Shown(q, opened.Answers[q.LinkId], opened))],
            [.. findings.All.Select(f => Shown(f, opened, ChangedBy(f), covered: false)), .. findings.Covered.Select(f => Shown(f, opened, ChangedBy(f), covered: true))],
            Iso(findings.Earliest), content.WordsIn(opened).Any(content.SoundsUrgent),
            (price as PriceOutcome.Known)?.Range, open?.Because ?? []) { NoPriceYours = open?.FromWish ?? [] };

        // Asked again with nothing new it is what is kept already: a link that anybody may have fills no database.
        var json = result.ToJson();
        if (await db.LatestResultOf(opened.Intake.Id, stop) is { } kept && kept.AnswersVersion == opened.Intake.AnswersVersion && kept.Json == json) return new Outcome.Kept();

        // write
        var (id, version) = (opened.Intake.Id, opened.Intake.AnswersVersion);
        await using var all = await db.Database.BeginTransactionAsync(stop);
        // The intake's row is taken hold of: an answer comes before this, and is seen here, or after it, and is seen when it is sent.
        if (await db.Intakes.Where(i => i.Id == id && i.SubmittedAt == null && i.AnswersVersion == version).ExecuteUpdateAsync(s => s.SetProperty(i => i.AnswersVersion, version), stop) == 0) return new Outcome.Meanwhile();
        db.Add(new IntakeResultRow { ClinicId = opened.Intake.ClinicId, IntakeId = id, MadeAt = now, AnswersVersion = version, Json = json });
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return new Outcome.Kept();
    }

    private IntakeResult.ShownAnswer Shown(Question question, Answer answer, OpenIntake.Opened opened)
    {
        // The clinic reads in its own language what a person read in another.
        var (language, own) = (PageWords.Languages[0], content.Shelf.For(opened.Questionnaire.Version.ToString(), opened.Today).Rules.Questionnaire.Find(question.LinkId)!);
        return new(
            question.LinkId, question.Name, question.Text, AnswerWords.Of(question, answer, opened.Words), AnswerWords.StateOf(answer),
            own.Name, AnswerWords.Of(own, answer, content.Pages[language]));
    }

    private IntakeResult.ShownFinding Shown(Finding finding, OpenIntake.Opened opened, IReadOnlyList<string> changedBy, bool covered) => new(
        finding.RuleId, finding.Kind, finding.Says, finding.Reason, Iso(finding.Earliest),
        [.. from cause in finding.Causes
            from question in opened.Questionnaire.Questions.Where(q => q.LinkId == cause.LinkId)
            select Shown(question, cause.Answer, opened)],
        [.. finding.Citations.Select(c => $"{c.SourceId} (grade {c.Grade}{(c.Seen ? "" : ", from memory")})")], finding.ClinicDecides, finding.FromDoubt,
        changedBy, Iso(finding.EndsBefore), finding.ForClinician, covered,
        finding.FromDoubt && opened.Rules.Rules.Any(r => r.Id == finding.RuleId && r.SaysIfUnknown is not null), finding.Chosen);

    private static string? Iso(LocalDate? date) => date is { } day ? LocalDatePattern.Iso.Format(day) : null;
}
