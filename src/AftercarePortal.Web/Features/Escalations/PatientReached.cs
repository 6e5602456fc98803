using AftercarePortal.Web.Features.Messages;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Whether our last text to the patient arrived, in words for the top of the report.</summary>
/// <param name="Words">A sentence.</param>
/// <param name="MustRing">It did not arrive: ring.</param>
internal sealed record PatientReached(string Words, bool MustRing)
{
    public static PatientReached Of((OutgoingRow Row, DeliveryStanding Standing)? last, Func<Instant, string> wall) => last switch
    {
        null => new("No text went to the patient yet.", false),
        (var row, _) when row.State is OutgoingState.Refused => new($"The carrier refused our text of {wall(row.MadeAt)}. Ring the patient.", true),
        (var row, DeliveryStanding.NotArrived) => new($"Our text of {wall(row.MadeAt)} did not arrive. Ring the patient.", true),
        (var row, _) when row.State is OutgoingState.TooLate => new($"Our text of {wall(row.MadeAt)} could not be sent. Ring the patient.", true),
        (var row, DeliveryStanding.Arrived) => new($"Our text of {wall(row.MadeAt)} arrived.", false),
        (var row, _) => new($"Not known yet whether our text of {wall(row.MadeAt)} arrived.", false),
    };
}
