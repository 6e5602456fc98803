using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Keeps who approved a recall's text, and for every patient of the lot whether a text goes out or why not, in one save. Sent twice, it is approved once.</summary>
internal sealed class ApproveRecall(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <summary>Id of the approved text.</summary>
    public const string TextId = "recall-notice";

    /// <summary>Kind of the job that texts one patient; its subject is the notice's id.</summary>
    public const string SendNotice = "recall-notice";

    public enum Outcome { Approved, NotApproved, NobodyGotIt, Meanwhile }

    /// <summary>The text of this clinic as it would go out, in each language.</summary>
    public async Task<string> Text(CancellationToken stop) => RecallWords.Of(content.Texts, await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop));

    /// <param name="id">Id the form was given when it was opened.</param>
    /// <param name="patients">How many patients the person saw; more by now means: look again.</param>
    public async Task<Outcome> Run(Guid id, string lot, int patients, bool approved, string person, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.Recalls.AnyAsync(r => r.Id == id, stop)) return Outcome.Approved;
        if (!approved || id == Guid.Empty) return Outcome.NotApproved;
        var found = await db.PatientsOfLot(lot, stop);
        if (found.Count == 0) return Outcome.NobodyGotIt;
        if (found.Count != patients) return Outcome.Meanwhile;
        var before = await db.ReachedBefore(lot, stop);
        var agreed = (await db.Patients.Where(p => p.AgreedToTextsAt != null).Select(p => p.Id).ToListAsync(stop)).ToHashSet();
        var lastWord = new Dictionary<string, bool>();
        foreach (var word in await db.OptOuts.AsNoTracking().OrderBy(o => o.At).ThenBy(o => o.Id).Select(o => new { o.Number, o.Stopped }).ToListAsync(stop)) lastWord[word.Number] = word.Stopped;

        // decide and write
        var clinic = await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop);
        var recall = new RecallRow { Id = id, Lot = lot, Text = RecallWords.Of(content.Texts, clinic), ApprovedBy = person, ApprovedAt = now };
        foreach (var patient in found)
        {
            var standing = before.Contains(patient.Id) ? RecallStanding.Before
                : PhoneNumber.Read(patient.Number, clinic.PatientNumber) is null ? RecallStanding.NoMobile
                : !agreed.Contains(patient.Id) ? RecallStanding.NotAgreed
                : lastWord.GetValueOrDefault(patient.Number) ? RecallStanding.Stopped
                : RecallStanding.ToBeTexted;
            var notice = new RecallNoticeRow { PatientId = patient.Id, Standing = standing };
            recall.Notices.Add(notice);
            if (standing is RecallStanding.ToBeTexted) db.Enqueue(SendNotice, notice.Id.ToString(), now, JobTable.EverydayLane);
        }

        db.Add(recall);
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await db.Recalls.AnyAsync(r => r.Id == id, stop)) throw;             // two taps at once: the other one kept it
        }

        return Outcome.Approved;
    }
}
