namespace AftercarePortal.Web.Carrier;

/// <summary>What came of one attempt to fetch a file that came with a message.</summary>
internal abstract record MediaOutcome
{
    private MediaOutcome() { }

    /// <summary>Here it is; the type is the carrier's claim.</summary>
    public sealed record Fetched(byte[] File, string ContentType) : MediaOutcome;

    /// <summary>Larger than we take; asking again changes nothing.</summary>
    public sealed record TooLarge : MediaOutcome;

    /// <summary>The carrier no longer has it (404, 410).</summary>
    public sealed record Gone : MediaOutcome;

    /// <summary>Not an address of the carrier's; nothing was opened.</summary>
    public sealed record Refused : MediaOutcome;

    /// <summary>Time-out, fault or a refused sign-in: ask again later.</summary>
    public sealed record Unclear(string Reason) : MediaOutcome;
}
