using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Keeps what the carrier delivered, once, before anything can fail (H1).</summary>
/// <remarks>Takes no cancellation token: a carrier that hangs up does not take the report back.</remarks>
internal sealed partial class ReceiveMessage(PortalDb db, ClinicScope scope, OurNumbers numbers, TimeProvider time, ILogger<ReceiveMessage> log)
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
        if (clinic == OurNumbers.Nobody.Clinic) OfNobody(log, message.Id);
        else HandOn(message, pageNumber, handled, now);

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

    /// <summary>Hands on what came to a number that was no clinic's then and is now; what still is none's waits on.</summary>
    /// <param name="id">Of one that waits.</param>
    public async Task HandOnLate(Guid id, CancellationToken stop)
    {
        var message = await db.Messages.IgnoreQueryFilters().SingleAsync(m => m.Id == id, stop);
        if (message.ClinicId != OurNumbers.Nobody.Clinic || await numbers.OwnerOf(message.To, db) is not var (clinic, pageNumber) || clinic == OurNumbers.Nobody.Clinic) return;
        scope.Enter(clinic);
        message.ClinicId = clinic;
        HandOn(message, pageNumber, message.RawForm == MessageRow.FoundInList ? null : QueryHelpers.ParseQuery(message.RawForm).GetValueOrDefault("OptOutType").ToString(), time.GetCurrentInstant());
        await db.SaveChangesAsync(stop);
    }

    private void HandOn(MessageRow message, string pageNumber, string? handled, Instant now)
    {
        var isStaff = message.To == pageNumber;
        db.Enqueue(isStaff ? MessageJobs.StaffReply : MessageJobs.Read, message.Id.ToString(), now, lane: 1);
        if (isStaff) return;                                                      // photos and STOP of the number of pages when it turns out that nobody of staff wrote
        db.AddPhotos(message);
        db.NoteStopOrStart(message, handled);
    }

    [LoggerMessage(LogLevel.Error, "Message {Id} came to a number that is no clinic's here: it is kept and read by nobody until one has that number")]
    private static partial void OfNobody(ILogger log, Guid id);

    private Task<bool> Known(string carrierId) => db.Messages.IgnoreQueryFilters().AnyAsync(m => m.CarrierId == carrierId);
}
