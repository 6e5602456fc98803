using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.Access;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Opens one intake by its private link and enters its clinic. Nothing else opens one for a patient.</summary>
internal sealed class OpenIntake(PortalDb db, ClinicScope scope, ContentLibrary content, IOptions<CarrierOptions> reachedAt, TimeProvider time)
{
    /// <summary>The portal's address as people outside see it, also behind a proxy; empty when it is not configured.</summary>
    public string PublicUrl => reachedAt.Value.PublicUrl;

    /// <summary>One opened intake.</summary>
    /// <param name="Today">The clinic's date.</param>
    /// <param name="Rules">The rules and their questions in the language of the intake.</param>
    /// <param name="Words">Words of the pages in that language.</param>
    /// <param name="Kept">What was typed, by question.</param>
    internal sealed record Opened(IntakeRow Intake, ClinicRow Clinic, LocalDate Today, CandidacyRules Rules, PageWords Words, IReadOnlyDictionary<string, IntakeAnswerRow> Kept)
    {
        public Questionnaire Questionnaire => Rules.Questionnaire;

        /// <summary>Answers of the questions this person is asked; what was answered on a branch left since does not count.</summary>
        public Answers Answers { get; } = Read(Rules.Questionnaire, Kept, Today);

        /// <summary>The questions this person is asked.</summary>
        public IReadOnlyList<Question> Asked => Questionnaire.AskedGiven(Answers);

        /// <summary>A question's place in addresses, from 1: it tells nothing of an answer.</summary>
        public int NumberOf(Question question) => Questionnaire.Questions.ToList().IndexOf(question) + 1;

        /// <summary>The first question without a usable word on it, or null.</summary>
        public Question? NextOpen => Asked.FirstOrDefault(q => !Kept.TryGetValue(q.LinkId, out var row) || row.State == AnswerState.NotUsable);

        private static Answers Read(Questionnaire questionnaire, IReadOnlyDictionary<string, IntakeAnswerRow> kept, LocalDate today)
        {
            var answers = new Dictionary<string, Answer>();
            foreach (var question in questionnaire.Questions)
            {
                if (!kept.TryGetValue(question.LinkId, out var row) || !question.IsAskedGiven(new(answers))) continue;
                answers[question.LinkId] = row.State switch
                {
                    AnswerState.NotSure => new Answer.NotSure(),
                    AnswerState.Answered => Typed.FromJson(row.Typed).ReadAs(question, today).Answer ?? new Answer.NotSure(),
                    _ => new Answer.Skipped(),
                };
            }

            return new(answers);
        }
    }

    /// <summary>The page of a private link; of one that has ended, the page that says so.</summary>
    public static string AddressOf(string link) => $"/Intake/{Uri.EscapeDataString(link)}";

    /// <summary>Whom to ring when a link opens nothing: the clinic it was of, or the only one here. Null when neither is known.</summary>
    public async Task<ClinicRow?> ClinicOfEnded(string link, CancellationToken stop)
    {
        var hash = PatientLink.HashOf(link);
        var of = await db.Intakes.IgnoreQueryFilters().Where(i => i.LinkHash == hash).Select(i => (Guid?)i.ClinicId).SingleOrDefaultAsync(stop);
        var clinics = await db.Clinics.AsNoTracking().Where(c => of == null || c.Id == of).Take(2).ToListAsync(stop);
        return clinics.Count == 1 ? clinics[0] : null;
    }

    /// <summary>Null when the link opens nothing, or no longer does.</summary>
    public async Task<Opened?> Run(string link, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var hash = PatientLink.HashOf(link);
        // The link names the clinic, so no clinic is entered yet: the only place that looks past the filter.
        var intake = await db.Intakes.IgnoreQueryFilters().SingleOrDefaultAsync(i => i.LinkHash == hash && i.EndsAt > now, stop);
        if (intake is null) return null;
        scope.Enter(intake.ClinicId);
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        var kept = await db.IntakeAnswers.Where(a => a.IntakeId == intake.Id).ToDictionaryAsync(a => a.LinkId, stop);
        var today = now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        return new(intake, clinic, today, content.Shelf.For(intake.Questionnaire, today).ByLanguage[intake.Language].Under(await db.RuleChoicesNow(stop)), content.Pages[intake.Language], kept);
    }
}
