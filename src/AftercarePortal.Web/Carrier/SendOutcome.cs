namespace AftercarePortal.Web.Carrier;

/// <summary>What the carrier answered to one send.</summary>
internal abstract record SendOutcome
{
    private SendOutcome() { }

    /// <summary>Taken over under this id.</summary>
    public sealed record Accepted(string Sid) : SendOutcome;

    /// <summary>Definitely not sent; the carrier's error code, 0 when it named none.</summary>
    public sealed record Refused(int Code) : SendOutcome;

    /// <summary>Definitely not sent: too much is under way (HTTP 429), or no connection came about; safe to repeat soon.</summary>
    public sealed record NotTaken : SendOutcome;

    /// <summary>Nobody knows: time-out, broken connection or a fault on the carrier's side.</summary>
    public sealed record Unclear(string Reason) : SendOutcome;
}
