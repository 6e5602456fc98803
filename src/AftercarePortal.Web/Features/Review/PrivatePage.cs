using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Tells a person that there is word on their private page, and sees to it that the page still opens.</summary>
internal static class PrivatePage
{
    /// <summary>Lengthens the private link when it ends sooner than a new one would, so that no notice points to an ended link.</summary>
    /// <param name="intake">A tracked row.</param>
    /// <param name="now">The moment of the notice.</param>
    /// <param name="until">When the page is needed longer; else null.</param>
    public static void KeepOpen(this IntakeRow intake, Instant now, Instant? until = null) =>
        intake.EndsAt = Instant.Max(intake.EndsAt, Instant.Max(now + StartIntake.LinkLasts, until ?? Instant.MinValue));

    /// <summary>The intake a notice with this key is about, or a new link of it; null: it is the key of another text.</summary>
    public static Guid? IntakeOf(string key) =>
        key.Split(':') is ["decision" or "question" or "visit" or "link", var id, _] && Guid.TryParse(id, out var intake) ? intake : null;

    /// <summary>Queues the notice by text, outside quiet hours, in the person's language; nothing for somebody who wants no texts. It never says what it is about.</summary>
    /// <remarks>To the number the person has now, where staff know whose the intake is. A STOP is asked about when it goes (<see cref="NoticeText"/>): a START may come before.</remarks>
    /// <param name="db">The unit of work.</param>
    /// <param name="content">Where the text stands.</param>
    /// <param name="intake">Whose.</param>
    /// <param name="clinic">From whom.</param>
    /// <param name="key">Says what it is for, so that it is sent once.</param>
    /// <param name="textId">Id of the text.</param>
    /// <param name="now">The moment.</param>
    /// <param name="stop">Stops it before anything is written.</param>
    public static async Task Tell(this PortalDb db, ContentLibrary content, IntakeRow intake, ClinicRow clinic, string key, string textId, Instant now, CancellationToken stop)
    {
        var reached = await db.ReachedOf(intake, stop);
        if (!reached.Agreed) return;
        var values = new Dictionary<string, string> { ["clinic"] = clinic.Name, ["clinic-line"] = clinic.ClinicLine, ["emergency"] = clinic.EmergencyNumber };
        await db.QueueOnce(
            key, OutgoingKind.Notice, clinic.PatientNumber, reached.Number, content.Texts.In(intake.Language).Fill(textId, values), now, stop,
            new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, DateTimeZoneProviders.Tzdb[clinic.Zone]));
    }
}
