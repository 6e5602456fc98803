using AftercarePortal.Web.Data;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Which result of an intake still says what its answers mean.</summary>
internal static class CurrentResults
{
    /// <summary>The latest result; null when there is none, or an answer was given since.</summary>
    public static async Task<IntakeResult?> CurrentResult(this OpenIntake.Opened opened, PortalDb db, CancellationToken stop) =>
        await db.LatestResultOf(opened.Intake.Id, stop) is { } row && row.AnswersVersion == opened.Intake.AnswersVersion ? IntakeResult.FromJson(row.Json) : null;
}
