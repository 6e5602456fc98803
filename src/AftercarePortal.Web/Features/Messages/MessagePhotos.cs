using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Files that came with a message, to be fetched later.</summary>
internal static class MessagePhotos
{
    /// <summary>The carrier's messages hold 10 files (its documentation, media resource); an absurd claim makes no million rows.</summary>
    private const int Most = 100;

    /// <summary>Puts a row and a job for each file into the current unit of work. Once a message: the rows are unique.</summary>
    public static void AddPhotos(this PortalDb db, MessageRow message)
    {
        for (var index = 0; index < Math.Min(message.MediaCount, Most); index++)
        {
            var photo = new PhotoRow { ClinicId = message.ClinicId, MessageId = message.Id, Index = index };
            db.Add(photo);
            db.Enqueue(MessageJobs.FetchMedia, photo.Id.ToString(), message.ReceivedAt, lane: JobTable.SlowLane);
        }
    }
}
