using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Keeps what the carrier delivered, once, before anything can fail (H1).</summary>
/// <remarks>Takes no cancellation token: a carrier that hangs up does not take the report back.</remarks>
internal sealed class ReceiveMessage(PortalDb db, ClinicScope scope, TimeProvider time)
{
    public async Task Run(IFormCollection form)
    {
        var now = time.GetCurrentInstant();
        var carrierId = form["MessageSid"].ToString();
        var to = form["To"].ToString();
        var clinic = await db.Clinics.FirstOrDefaultAsync(c => c.PatientNumber == to || c.PageNumber == to)
            ?? await db.Clinics.OrderBy(c => c.Id).FirstOrDefaultAsync();          // a number nobody told us of: still kept, still read
        if (clinic is null) throw new InvalidOperationException("No clinic is set up; the carrier must try again.");
        scope.Enter(clinic.Id);
        if (await Known(carrierId)) return;

        var message = new MessageRow
        {
            ClinicId = clinic.Id,
            CarrierId = carrierId,
            From = form["From"].ToString(),
            To = to,
            Text = form["Body"].ToString(),
            MediaCount = int.TryParse(form["NumMedia"], out var media) && media > 0 ? media : 0,
            RawForm = QueryString.Create(form.SelectMany(f => f.Value, (f, v) => KeyValuePair.Create(f.Key, v))).Value!,
            ReceivedAt = now,
        };
        db.Add(message);
        var isStaff = to == clinic.PageNumber;
        db.Enqueue(isStaff ? MessageJobs.StaffReply : MessageJobs.Read, message.Id.ToString(), now, lane: 1);
        try
        {
            await db.SaveChangesAsync();                                           // both or neither
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await Known(carrierId)) throw;                                    // two copies at once meet the unique index
        }
    }

    private Task<bool> Known(string carrierId) => db.Messages.IgnoreQueryFilters().AnyAsync(m => m.CarrierId == carrierId);
}
