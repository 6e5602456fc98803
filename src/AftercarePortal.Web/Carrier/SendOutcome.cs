namespace AftercarePortal.Web.Carrier;

/// <summary>What the carrier answered to one send.</summary>
internal abstract record SendOutcome
{
    private SendOutcome() { }

    /// <summary>Taken over under this id.</summary>
    public sealed record Accepted(string Sid) : SendOutcome;

    /// <summary>Definitely not sent; the carrier's error code, 0 when it named none.</summary>
    public sealed record Refused(int Code) : SendOutcome;

    /// <summary>Definitely not sent, and no fault of the text: too much is under way, the account or its credentials are refused, or no connection came about; safe to repeat.</summary>
    /// <param name="After">How long the carrier asks to wait; null: it does not say. May be nothing or less, and longer than the text is worth.</param>
    public sealed record NotTaken(NodaTime.Duration? After = null) : SendOutcome;

    /// <summary>Nobody knows: time-out, broken connection or a fault on the carrier's side.</summary>
    public sealed record Unclear(string Reason) : SendOutcome;
}
