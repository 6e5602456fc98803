using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>
/// Reads the patient's latest intake once more with the products that are planned. An intake is read for what the person wished for; what a clinician plans
/// may be another product, with other reasons against it.
/// </summary>
internal sealed class PlanAgainstIntake(PortalDb db, ReadAgain readAgain, ContentLibrary content, TimeProvider time)
{
    /// <summary>What speaks against the plan beyond what the page of the intake says, and the waits that have not ended.</summary>
    /// <param name="IntakeId">The intake that was read; null: none of this patient is kept.</param>
    /// <param name="SentOn">Day it was sent on the clinic's calendar, in words; empty without an intake.</param>
    /// <param name="Certain">One line each, the strongest first.</param>
    /// <param name="FromDoubt">The same, for what was not told.</param>
    /// <param name="Told">What the page of the intake said already and must be settled or waited for, each with what a clinician made of it: a plan without it would read as if nothing stood there.</param>
    internal sealed record Reading(Guid? IntakeId, string SentOn, IReadOnlyList<string> Certain, IReadOnlyList<string> FromDoubt, IReadOnlyList<string> Told);

    /// <param name="planned">Classes the plan or the record names; empty: the wishes alone.</param>
    public async Task<Reading> Run(Guid patientId, IReadOnlySet<ProductClass> planned, CancellationToken stop)
    {
        if (await LatestIntakeOf(patientId, stop) is not { } intake) return new(null, "", [], [], []);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == intake.ClinicId, stop);
        var zone = DateTimeZoneProviders.Tzdb[clinic.Zone];
        var (today, words) = (time.GetCurrentInstant().InZone(zone).Date, content.Pages[PageWords.Languages[0]]);
        var now = await readAgain.FindingsOf(intake, clinic, today, planned, stop);
        var shown = IntakeResult.FromJson((await db.LatestResultOf(intake.Id, stop))!.Json).Findings.ToLookup(f => f.RuleId);
        var more = now.All.Where(f => IsMore(f, shown[f.RuleId].FirstOrDefault()) || f is { Kind: FindingKind.Wait, FromDoubt: false, Earliest: { } day } && day > today).ToList();
        var settled = (await db.Overrides.AsNoTracking().Where(o => o.IntakeId == intake.Id).ToListAsync(stop)).ToLookup(o => o.RuleId);
        var told = now.All.Except(more).Where(f => f is { FromDoubt: false, Kind: FindingKind.ClearFirst } or { FromDoubt: false, Kind: FindingKind.Wait, Earliest: null });
        return new(
            intake.Id, AnswerWords.OfDate(intake.SubmittedAt!.Value.InZone(zone).Date, words), [.. more.Where(f => !f.FromDoubt).Select(Line)], [.. more.Where(f => f.FromDoubt).Select(Line)],
            [.. told.Select(f => $"{Line(f)} {Standing(settled[f.RuleId].MaxBy(o => o.Number))}")]);

        string Line(Finding f) => $"{FindingsForStaff.NameOf(f.Kind)}{(f.Earliest is { } day ? $" until {AnswerWords.OfDate(day, words)}" : "")}: {f.Says} {f.Reason}";
    }

    private static string Standing(OverrideRow? latest) => latest switch
    {
        null => "Open: nobody has written what came of it.",
        { Becomes: null } => $"Set aside by {latest.DecidedBy}: {latest.Reason}",
        { Becomes: { } becomes } => $"Counts as \"{FindingsForStaff.NameOf(becomes)}\" by {latest.DecidedBy}: {latest.Reason}",
    };

    // Said for the first time, with certainty where there was doubt, or more strongly.
    private static bool IsMore(Finding now, IntakeResult.ShownFinding? then) => then is null || (then.FromDoubt && !now.FromDoubt) || now.Kind < then.Kind;

    private async Task<IntakeRow?> LatestIntakeOf(Guid patientId, CancellationToken stop)
    {
        var ids = await db.Decisions.AsNoTracking().Where(d => d.PatientId == patientId).Select(d => d.IntakeId).Distinct().ToListAsync(stop);
        foreach (var intake in await db.Intakes.AsNoTracking().Where(i => ids.Contains(i.Id) && i.SubmittedAt != null).OrderByDescending(i => i.SubmittedAt).ToListAsync(stop))
            if (await db.SenderOf(intake.Id, stop) == patientId) return intake;                   // corrected since, it is somebody else's
        return null;
    }
}
