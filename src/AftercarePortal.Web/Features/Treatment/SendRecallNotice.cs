using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Texts one patient of a recall, outside quiet hours. May run twice; texts once.</summary>
internal sealed class SendRecallNotice(PortalDb db, TimeProvider time) : IJobHandler
{
    public string Kind => ApproveRecall.SendNotice;

    /// <summary>Key of the text of one notice.</summary>
    public static string KeyOf(Guid recallId, Guid noticeId) => $"{KeysOf(recallId)}{noticeId:N}";

    /// <summary>What the keys of one recall's texts begin with.</summary>
    public static string KeysOf(Guid recallId) => $"recall:{recallId:N}:";

    /// <summary>The notice of a <see cref="KeyOf"/>; null: it is the key of another text.</summary>
    public static Guid? NoticeOf(string key) => key.Split(':') is ["recall", _, var id] && Guid.TryParseExact(id, "N", out var notice) ? notice : null;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject);
        var notice = await db.RecallNotices.SingleAsync(n => n.Id == id, stop);
        if (notice.Standing is not RecallStanding.ToBeTexted) return;
        var patient = await db.Patients.SingleAsync(p => p.Id == notice.PatientId, stop);
        var recall = await db.Recalls.SingleAsync(r => r.Id == notice.RecallId, stop);
        var clinic = await db.Clinics.SingleAsync(c => c.Id == notice.ClinicId, stop);

        if (patient.AgreedToTextsAt is null) notice.Standing = RecallStanding.NotAgreed;
        else if (await db.HasStopped(patient.Number, stop)) notice.Standing = RecallStanding.Stopped;
        else
        {
            notice.Standing = RecallStanding.Texted;
            await db.QueueOnce(KeyOf(notice.RecallId, id), OutgoingKind.Notice, clinic.PatientNumber, patient.Number, RecallWords.In(recall.Text, patient.Language), now, stop,
                new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, DateTimeZoneProviders.Tzdb[clinic.Zone]));
        }

        await db.SaveChangesAsync(stop);
    }
}
