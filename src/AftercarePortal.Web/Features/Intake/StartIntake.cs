using AftercarePortal.Web.Access;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Starts an empty intake and makes its private link.</summary>
internal sealed class StartIntake(PortalDb db, ClinicScope scope, ContentLibrary content, TimeProvider time)
{
    /// <summary>How long a link opens its intake; one that was not sent by then is deleted.</summary>
    public static readonly Duration LinkLasts = Duration.FromDays(30);

    /// <summary>The link's secret; it is stored nowhere.</summary>
    /// <param name="clinic">Whose intake.</param>
    /// <param name="language">One of <see cref="PageWords.Languages"/>.</param>
    public async Task<string> Run(ClinicRow clinic, string language, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var secret = PatientLink.NewSecret();
        scope.Enter(clinic.Id);
        var intake = new IntakeRow
        {
            ClinicId = clinic.Id, LinkHash = PatientLink.HashOf(secret), Questionnaire = content.Shelf.On(now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date).Questions.Version.ToString(),
            StartedAt = now, EndsAt = now + LinkLasts, Language = language,
        };
        db.Add(intake);
        db.Enqueue(ForgetIntake.JobKind, intake.Id.ToString(), intake.EndsAt, JobTable.EverydayLane);
        await db.SaveChangesAsync(stop);
        return secret;
    }
}
