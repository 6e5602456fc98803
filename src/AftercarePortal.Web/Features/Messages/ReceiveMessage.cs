using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Keeps what the carrier delivered, once, before anything can fail (H1).</summary>
/// <remarks>Takes no cancellation token: a carrier that hangs up does not take the report back.</remarks>
internal sealed class ReceiveMessage(PortalDb db, ClinicScope scope, OurNumbers numbers, TimeProvider time)
{
    /// <summary>A message the carrier delivered.</summary>
    public Task Run(IFormCollection form) => Keep(
        new(form["MessageSid"].ToString(), form["From"].ToString(), form["To"].ToString(), form["Body"].ToString(),
            int.TryParse(form["NumMedia"], out var media) && media > 0 ? media : 0),
        QueryString.Create(form.SelectMany(f => f.Value, (f, v) => KeyValuePair.Create(f.Key, v))).Value!, form["OptOutType"].ToString());

    /// <summary>A message found in the carrier's list that no webhook brought.</summary>
    public Task Run(ListedMessage listed) => Keep(listed, MessageRow.FoundInList);

    private async Task Keep(ListedMessage arrived, string rawForm, string? handled = null)
    {
        var now = time.GetCurrentInstant();
        var (carrierId, from, to, text, media) = arrived;
        if (await numbers.OwnerOf(to, db) is not var (clinic, pageNumber)) throw new InvalidOperationException("No clinic is set up; the carrier must try again.");
        scope.Enter(clinic);

        var message = new MessageRow
        {
            ClinicId = clinic,
            CarrierId = carrierId,
            From = from,
            To = to,
            Text = text,
            MediaCount = media,
            RawForm = rawForm,
            ReceivedAt = now,
            WrittenAt = arrived.WrittenAt is { } at && at < now ? at : now,
        };
        db.GoesFirst = true;
        db.Add(message);
        var isStaff = to == pageNumber;
        db.Enqueue(isStaff ? MessageJobs.StaffReply : MessageJobs.Read, message.Id.ToString(), now, lane: 1);
        if (!isStaff)                                                             // of the number of pages when it turns out that nobody of staff wrote
        {
            db.AddPhotos(message);
            db.NoteStopOrStart(message, handled);
        }

        try
        {
            await db.SaveChangesAsync();                                           // both or neither
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await Known(carrierId)) throw;                                    // delivered before, or two copies at once: the unique index keeps one
        }
    }

    private Task<bool> Known(string carrierId) => db.Messages.IgnoreQueryFilters().AnyAsync(m => m.CarrierId == carrierId);
}
