using NodaTime;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Asked about an everyday text right before it goes to the carrier, by the feature that stored it: what it decided on may have changed since.</summary>
internal interface ILastLook
{
    /// <summary>May change the words of the text and rows of its own feature; the caller saves.</summary>
    /// <returns>Null: a text of another feature.</returns>
    Task<LastLook?> At(OutgoingRow text, Instant now, CancellationToken stop);
}

/// <summary>What becomes of a text that waits to be sent.</summary>
internal abstract record LastLook
{
    private LastLook() { }

    /// <summary>It goes.</summary>
    public sealed record Go : LastLook;

    /// <summary>Not now; it is looked at again at <paramref name="At"/>.</summary>
    public sealed record Later(Instant At) : LastLook;

    /// <summary>It is held back for ever.</summary>
    public sealed record Never : LastLook;
}
