using NodaTime;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Asked about everyday texts right before they go to the carrier, by the feature that stored them: what it decided on may have changed since.</summary>
internal interface ILastLook
{
    /// <summary>May change the words of the texts and rows of its own feature; the caller saves.</summary>
    /// <returns>Text id → what becomes of it; texts of another feature are not in it.</returns>
    Task<IReadOnlyDictionary<Guid, LastLook>> At(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop);
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
