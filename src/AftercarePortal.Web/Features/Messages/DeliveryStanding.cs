namespace AftercarePortal.Web.Features.Messages;

/// <summary>How far a text or call got, from its reports in whatever order they came.</summary>
internal enum DeliveryStanding
{
    /// <summary>Nothing was reported, or nothing we know.</summary>
    Unknown,
    /// <summary>The carrier holds it; a phone rings.</summary>
    UnderWay,
    /// <summary>It left for the phone; some networks never say more.</summary>
    Sent,
    /// <summary>It arrived; of a call: it was answered or ended, by whom is not known.</summary>
    Arrived,
    /// <summary>It did not arrive. Of contradicting reports the worse counts: somebody acts on it.</summary>
    NotArrived,
}

internal static class DeliveryStandings
{
    /// <summary>The furthest a set of reports tells of. Order and repeats change nothing; one more report never takes it back.</summary>
    /// <param name="statuses">As the carrier names them.</param>
    public static DeliveryStanding Of(IEnumerable<string> statuses) => statuses.Select(Of).DefaultIfEmpty().Max();

    private static DeliveryStanding Of(string status) => status switch
    {
        "accepted" or "scheduled" or "queued" or "sending" or "initiated" or "ringing" => DeliveryStanding.UnderWay,
        "sent" => DeliveryStanding.Sent,
        "delivered" or "read" or "partially_delivered" or "answered" or "in-progress" or "completed" => DeliveryStanding.Arrived,
        _ when MessageTable.NotArrived.Contains(status) => DeliveryStanding.NotArrived,
        _ => DeliveryStanding.Unknown,
    };
}
