using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Replies;

/// <summary>What is known of the conversation beside the text.</summary>
/// <param name="Products">Classes placed at the latest treatment; empty: unknown, no answer is sent that depends on one.</param>
/// <param name="WasAskedToCheckIn">A text that asks for a check-in answer went to this number within its hours.</param>
/// <param name="LastPain">The pain told last, 0..10; null: none told.</param>
/// <param name="SentLately">Automatic replies to this number within the loop's minutes, 0 or more.</param>
/// <param name="HasPhoto">A photo came with this text or lately.</param>
/// <param name="WasAskedForPhoto">One was asked for lately.</param>
/// <param name="WroteJustBefore">Other texts of the same minutes belong to this one.</param>
public sealed record TurnContext(IReadOnlyList<ProductClass> Products, bool WasAskedToCheckIn, int? LastPain, int SentLately, bool HasPhoto, bool WasAskedForPhoto, bool WroteJustBefore)
{
    /// <summary>A photo or another file came with this very text: a person looks at it.</summary>
    public bool BringsPhoto { get; init; }

    /// <summary>A text that asks for a check-in answer went out longer ago than its hours, and not for days.</summary>
    public bool WasAskedEarlier { get; init; }

    /// <summary>What the open report of this number holds already.</summary>
    public ReportedSoFar Reported { get; init; } = ReportedSoFar.Nothing;
}
