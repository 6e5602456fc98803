namespace AftercarePortal.Clinical.Pricing;

/// <summary>What would narrow the range.</summary>
/// <param name="Id"><c>exam</c>, <c>examAndPlan</c> or <c>records</c>.</param>
/// <param name="Percent">By how much the expected interval score falls, whole percent, 0..100; null where it is not a matter of this person.</param>
/// <param name="Says">Plain words.</param>
public sealed record Narrowing(string Id, int? Percent, string Says)
{
    /// <summary>How wide the range is then likely to be, from its lower to its upper end; null where it is not a matter of this person. Can be a little above today's width: with whole syringes knowing more does not always narrow.</summary>
    public Money? Width { get; init; }
}
