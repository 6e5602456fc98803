using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The text of a recall that was let go, asked about right before it goes: by the morning the patient may have another number, another language, or want no more texts.</summary>
internal sealed class RecallText(PortalDb db) : ILastLook
{
    public async Task<IReadOnlyDictionary<Guid, LastLook>> At(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        var notices = texts.Select(t => (Text: t, Notice: SendRecallNotice.NoticeOf(t.Key))).Where(t => t.Notice is not null).ToDictionary(t => t.Notice!.Value, t => t.Text);
        if (notices.Count == 0) return new Dictionary<Guid, LastLook>();
        var ids = notices.Keys.ToList();
        var rows = await (
            from notice in db.RecallNotices
            where ids.Contains(notice.Id)
            join patient in db.Patients on notice.PatientId equals patient.Id
            join recall in db.Recalls on notice.RecallId equals recall.Id
            select new { Notice = notice, Patient = patient, Words = recall.Text }).ToListAsync(stop);
        var looked = new Dictionary<Guid, LastLook>();
        foreach (var row in rows)
            looked[notices[row.Notice.Id].Id] = At(notices[row.Notice.Id], row.Notice, row.Patient, row.Words, await db.HasStopped(row.Patient.Number, stop));
        return looked;
    }

    private static LastLook At(OutgoingRow text, RecallNoticeRow notice, PatientRow patient, string approved, bool stopped)
    {
        if (patient.AgreedToTextsAt is null || stopped)
        {
            notice.Standing = patient.AgreedToTextsAt is null ? RecallStanding.NotAgreed : RecallStanding.Stopped;      // she is rung
            return new LastLook.Never();
        }

        (text.To, text.Text) = (patient.Number, RecallWords.In(approved, patient.Language));
        return new LastLook.Go();
    }
}
