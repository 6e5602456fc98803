namespace AftercarePortal.Clinical.Pricing;

/// <summary>The fixed sentences of the model.</summary>
/// <param name="Reasons">By cause; <c>smaller</c> for what is merged.</param>
/// <param name="Narrows">By what would be known.</param>
/// <param name="Questions">Short name of each question, by linkId, for a list of what is still open.</param>
/// <param name="Products">Product names, by code.</param>
/// <param name="Lines">Names of the lines: <c>filler</c>, <c>second-visit</c>, <c>toxin</c>, <c>sessions</c>, <c>fee</c>.</param>
/// <param name="IfChosen">A product that may or may not be chosen, with <c>{product}</c>.</param>
/// <param name="CountWord">Between the ends of a count, for example <c>to</c>.</param>
/// <param name="Staged">Said when a visit may go above the cap.</param>
public sealed record PriceWords(
    IReadOnlyDictionary<string, string> Reasons, IReadOnlyDictionary<string, string> Narrows, IReadOnlyDictionary<string, string> Questions,
    IReadOnlyDictionary<string, string> Products, IReadOnlyDictionary<string, string> Lines, string IfChosen, string CountWord, string Staged)
{
    /// <summary>Sentences about what makes a range wider or an examination odd, by <see cref="NoteIds"/>.</summary>
    public IReadOnlyDictionary<string, string> Notes { get; init; } = new Dictionary<string, string>();

    /// <summary>BCP 47 tag of these sentences.</summary>
    public string Language { get; init; } = "en";

    /// <summary>Notes that need a sentence; that of a package has <c>{package}</c>, <c>{price}</c> and <c>{chance}</c>.</summary>
    public static IReadOnlyList<string> NoteIds { get; } = ["resistance", "one-angle", "odd-angles", "widened", "named-injector", "new-injector", "package"];

    /// <summary>Causes that need a sentence.</summary>
    public static IReadOnlyList<string> Causes { get; } = ["product", .. PriceEngine.Unknowns, "onlyWhenTreating", "smaller"];

    /// <summary>What may become known and needs a sentence.</summary>
    public static IReadOnlyList<string> Knowable { get; } = ["exam", "examAndPlan", "records"];

    /// <summary>Lines that need a name.</summary>
    public static IReadOnlyList<string> LineIds { get; } = ["filler", "second-visit", "toxin", "sessions", "fee"];

    /// <summary>Questions the price depends on.</summary>
    public static IReadOnlyList<string> LinkIds { get; } =
        ["birth-date", "sex", "weight-change", "tooth-loss", "earlier-filler", "earlier-filler-when", "earlier-filler-kind", "wish-product", "wish-strength", "side-difference"];
}
