using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Reads an old intake under the rules in force and tells the difference; what was worked out then stays as it was.</summary>
internal sealed class ReadAgain(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <param name="Rules">Version of the rules in force.</param>
    /// <param name="Differences">One sentence each, never empty.</param>
    internal sealed record Reading(string Rules, IReadOnlyList<string> Differences);

    /// <summary>Null when the rules in force say the same about the same answers on the same day.</summary>
    public async Task<Reading?> Run(IntakeRow intake, ClinicRow clinic, IntakeResult then, CancellationToken stop)
    {
        var findings = await FindingsOf(intake, clinic, LocalDatePattern.Iso.Parse(then.On).Value, planned: null, stop);
        var now = findings.All.Concat(findings.Covered).ToDictionary(f => f.RuleId);
        var before = then.Findings.ToDictionary(f => f.RuleId);
        string[] differences =
        [
            .. now.Values.Where(f => !before.ContainsKey(f.RuleId)).Select(f => $"New: {f.RuleId}, {Said(f.Kind, f.FromDoubt, f.Earliest is { } date ? LocalDatePattern.Iso.Format(date) : null)}. {f.Reason}"),
            .. before.Values.Where(f => !now.ContainsKey(f.RuleId)).Select(f => $"No longer said: {f.RuleId}, {Said(f.Kind, f.FromDoubt, f.Earliest)}."),
            .. from f in now.Values
               where before.ContainsKey(f.RuleId)
               let old = before[f.RuleId]
               let was = Said(old.Kind, old.FromDoubt, old.Earliest)
               let says = Said(f.Kind, f.FromDoubt, f.Earliest is { } date ? LocalDatePattern.Iso.Format(date) : null)
               where was != says
               select $"Changed: {f.RuleId} was {was}, is {says}.",
        ];
        return differences.Length > 0 ? new(findings.Version.ToString(), differences) : null;
    }

    /// <summary>What the rules in force, with the clinic's own choices, say about the answers of a sent intake.</summary>
    /// <param name="day">As if they were given on this day of the clinic's calendar.</param>
    /// <param name="planned">Classes that are planned, whatever was wished for; null: the wishes.</param>
    public async Task<Findings> FindingsOf(IntakeRow intake, ClinicRow clinic, LocalDate day, IReadOnlySet<ProductClass>? planned, CancellationToken stop)
    {
        var kept = await db.IntakeAnswers.AsNoTracking().Where(a => a.IntakeId == intake.Id).ToDictionaryAsync(a => a.LinkId, stop);
        var (language, today) = (PageWords.Languages[0], time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date);
        var opened = new OpenIntake.Opened(intake, clinic, day, content.Shelf.On(today).ByLanguage[language].Under(await db.RuleChoicesNow(stop)), content.Pages[language], kept);
        return opened.Rules.FindingsFor(opened.Answers, day, content.Lexicon.SignsIn(opened.Questionnaire, opened.Answers), planned);
    }

    private string Said(FindingKind kind, bool doubt, string? earliest) =>
        (kind switch { FindingKind.ClearFirst => "clear first", FindingKind.Wait => "wait", _ => "discuss" })
        + (doubt ? ", not known" : "")
        + (earliest is null ? "" : $" until {AnswerWords.OfDate(earliest, content.Pages[PageWords.Languages[0]])}");
}
