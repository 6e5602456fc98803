using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Words with a warning sign, written behind a private link, are looked at by whoever is on call, whatever else becomes of them.</summary>
internal static class WordsForOnCall
{
    /// <summary>Keeps the words whole and has them read: in the current unit of work. Nothing happens when they were kept under this name before.</summary>
    /// <param name="opened">A sent intake.</param>
    /// <param name="carrierId">Names them; at most 64 characters.</param>
    public static async Task BeRead(this PortalDb db, OpenIntake.Opened opened, string carrierId, string words, Instant now, CancellationToken stop)
    {
        if (await db.Messages.AnyAsync(m => m.CarrierId == carrierId, stop)) return;           // the same words, sent again
        var message = new MessageRow
        {
            ClinicId = opened.Intake.ClinicId, CarrierId = carrierId, From = MessageRow.SenderOf(opened.Intake.Id), To = opened.Clinic.PatientNumber,
            Text = words, MediaCount = 0, RawForm = MessageRow.FromIntake, ReceivedAt = now, WrittenAt = now,
        };
        db.Add(message);
        db.Enqueue(MessageJobs.ReadIntake, message.Id.ToString(), now, JobTable.ReadLane);
    }
}
