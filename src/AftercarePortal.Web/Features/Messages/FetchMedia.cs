using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Fetches one file that came with a message, and keeps it encrypted. Reading and paging never wait for it.</summary>
/// <remarks>
/// A carrier that is away is asked again for a day, each time after as long as the message is old (5 seconds to 10 minutes): a short
/// fault costs seconds, a long one costs no photo. One that says it has no such file is asked for six hours: what was sent just now may
/// not be there yet. What is given up is told to the report it belongs to. Anything unforeseen is left to the job runner.
/// </remarks>
internal sealed class FetchMedia(PortalDb db, TwilioCarrier carrier, CarrierMedia media, PhotoStore store, TimeProvider time) : IJobHandler
{
    private static readonly Duration GiveUp = Duration.FromHours(24), GoneWithin = Duration.FromHours(6), WholeWithin = Duration.FromHours(1), Shortest = Duration.FromSeconds(5), Longest = Duration.FromMinutes(10);

    public string Kind => MessageJobs.FetchMedia;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        var photo = await db.Photos.SingleAsync(p => p.Id == id, stop);
        if (photo.State is not PhotoState.Waiting) return;
        var message = await db.Messages.AsNoTracking().SingleAsync(m => m.Id == photo.MessageId, stop);

        var outcome = await Fetch(message, photo.Index, stop);
        var now = time.GetCurrentInstant();
        switch (outcome)
        {
            case MediaOutcome.Fetched fetched:
                store.Keep(photo, fetched.File, await SafePicture.Read(fetched.File, stop), fetched.ContentType, now);
                break;
            case MediaOutcome.TooLarge:
                photo.State = PhotoState.Unreadable;
                break;
            case MediaOutcome.Refused:
                GiveItUp(photo, PhotoState.Refused, now);
                break;
            case MediaOutcome.Unclear or MediaOutcome.Gone when now - message.ReceivedAt is var age && age < (outcome is MediaOutcome.Gone ? GoneWithin : GiveUp):
                db.Enqueue(MessageJobs.FetchMedia, subject, now + Duration.Max(Shortest, Duration.Min(age, Longest)), lane: JobTable.SlowLane);
                break;
            default:
                GiveItUp(photo, PhotoState.Gone, now);
                break;
        }

        await db.SaveChangesAsync(stop);
    }

    private void GiveItUp(PhotoRow photo, PhotoState why, Instant now)
    {
        photo.State = why;
        db.Enqueue(MessageJobs.PhotoNotFetched, photo.MessageId.ToString(), now);
    }

    private async Task<MediaOutcome> Fetch(MessageRow message, int index, CancellationToken stop)
    {
        if (message.RawForm != MessageRow.FoundInList)
        {
            var given = QueryHelpers.ParseQuery(message.RawForm)[$"MediaUrl{index}"].ToString();
            return media.IdIn(given, message.CarrierId) is { } named ? await media.Fetch(message.CarrierId, named, SafePicture.MostBytes, stop) : new MediaOutcome.Refused();
        }

        try
        {
            var listed = await carrier.ListMedia(message.CarrierId);
            // Files are told apart by their place in the list: one that is not whole yet would give the same file twice and lose another.
            var whole = listed.Count >= message.MediaCount || time.GetCurrentInstant() - message.ReceivedAt >= WholeWithin;
            return whole && index < listed.Count ? await media.Fetch(message.CarrierId, listed[index], SafePicture.MostBytes, stop) : new MediaOutcome.Unclear("not in the list");
        }
        catch (Twilio.Exceptions.TwilioException away)
        {
            return new MediaOutcome.Unclear(away.GetType().Name);
        }
    }
}
