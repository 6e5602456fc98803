using AftercarePortal.Web.Features.Messages;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>What a page that did not arrive says about the number it went to.</summary>
/// <remarks>Codes as the carrier documents them (messaging dossier 1.5). New ones appear without notice: an unknown code counts against the number, so that a person looks.</remarks>
internal static class TroubleReading
{
    // The account, the sender or the carrier itself: another number would have failed as well. The second line from memory, unchecked.
    private static readonly int[] NotTheNumber =
    [
        20003, 20429, 21408, 21611, 30001, 30002, 30007, 30034, 30450, 30610, 30640,
        10004, 20005, 21210, 21215, 21606, 30022, 30023, 30032,
    ];

    /// <summary>Null: it says nothing about the number.</summary>
    /// <param name="last">The last report that it did not arrive, of several one with a code; null when there is none.</param>
    public static TroubleKind? Of(OutgoingRow page, DeliveryRow? last)
    {
        if (last?.Status is "busy" or "no-answer" or "canceled") return null;             // the person, not the number
        if (page.State is OutgoingState.TooLate or OutgoingState.Unclear) return null;    // the carrier could not be asked
        return (last?.ErrorCode ?? page.RefusedCode) switch
        {
            { } code when NotTheNumber.Contains(code) => null,
            21610 => TroubleKind.OptedOut,
            21211 or 21612 or 21614 or 30005 or 30006 => TroubleKind.NoSuchNumber,
            30003 or 30004 or 30008 => TroubleKind.Unreachable,
            30036 => TroubleKind.NotSent,
            null when last is null && page.State is OutgoingState.Accepted => TroubleKind.NotSent,
            _ => TroubleKind.NotArrived,
        };
    }

    /// <summary>In words, after the number.</summary>
    public static string Words(TroubleKind what, ContactWay way) => (what, way) switch
    {
        (TroubleKind.Stopped, _) => "has texted STOP, so no text reaches it: text START from it",
        (TroubleKind.OptedOut, _) => "takes no texts (opted out at the carrier): text START from it",
        (TroubleKind.NoSuchNumber, ContactWay.Call) => "cannot be called: is the number right?",
        (TroubleKind.NoSuchNumber, _) => "takes no texts: is the number right?",
        (TroubleKind.Unreachable, _) => "was switched off or out of reach",
        (TroubleKind.NotSent, _) => "got no page: the carrier took it and did not send it in time",
        (_, ContactWay.Call) => "could not be called, and the reason is unknown",
        _ => "did not get a page, and the reason is unknown",
    };
}
