using NodaTime;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Asked about texts and pages right before they go to the carrier, in the transaction that claims them: what the feature that stored them decided on may have changed since.</summary>
/// <remarks>Of everyday texts only those that wait are asked about: the carrier was never asked to take them, or said that it did not. A page or safety reply either goes or does not: <see cref="LastLook.Later"/> is for everyday texts.</remarks>
internal interface ILastLook
{
    /// <summary>May change the number and the words of the texts, and rows of its own feature; the caller saves.</summary>
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
