using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Photos;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>One photo as the on-call page tells of it.</summary>
/// <param name="Id">The photo's id.</param>
/// <param name="Name">For example <c>Photo 1 from the patient, received 23:40 on 24 November</c>.</param>
/// <param name="Ready">There is a picture to show.</param>
/// <param name="HasFile">There is a file as it came, to be saved.</param>
/// <param name="Width">Pixels of the small picture; 0 when there is none.</param>
/// <param name="Height">Pixels of the small picture; 0 when there is none.</param>
/// <param name="Standing">Where it stands, in words.</param>
internal sealed record ShownPhoto(Guid Id, string Name, bool Ready, bool HasFile, int Width, int Height, string Standing)
{
    private const int SmallSide = 320;
    private static readonly Duration Late = Duration.FromMinutes(2);

    /// <summary>Says where one photo stands, and what to do when it cannot be shown.</summary>
    public static ShownPhoto Of(Guid id, int index, PhotoState state, bool hasFile, int width, int height, Instant received, Instant now, DateTimeZone zone)
    {
        var name = $"Photo {index + 1} from the patient, received {Plain.Time(received.InZone(zone))}";
        var scale = Math.Min(1.0, (double)SmallSide / Math.Max(1, Math.Max(width, height)));
        return new(id, name, state is PhotoState.Kept, state is PhotoState.Unreadable && hasFile, (int)Math.Round(width * scale), (int)Math.Round(height * scale), state switch
        {
            PhotoState.Kept => "tap to see it large",
            PhotoState.Waiting when now - received < Late => "being fetched: look again in a moment",
            PhotoState.Waiting => "has not come yet, and is still being asked for. Do not wait for it: ring the patient",
            PhotoState.Unreadable => "a file we cannot show: ask for it again or ring",
            PhotoState.Refused => "not opened, because its address is not the carrier's: ask for it again or ring",
            _ => "could not be had from the carrier: ask for it again or ring",
        });
    }
}
