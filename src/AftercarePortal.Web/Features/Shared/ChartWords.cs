using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>The words on and under a chart of a range.</summary>
/// <param name="Title">Of the picture.</param>
/// <param name="MassSays">How sure the range is.</param>
/// <param name="AtMostSays">The outer bound.</param>
/// <param name="Range">The range itself, above its bars.</param>
/// <param name="More">Beside the outer bound; <c>{0}</c> is the amount without its currency.</param>
/// <param name="Axis">Under the amounts.</param>
/// <param name="Table">Opens the table.</param>
/// <param name="Caption">Of the table.</param>
/// <param name="Of100">Head of the first column.</param>
/// <param name="CostAtMost">Head of the second column.</param>
internal sealed record ChartWords(string Title, string MassSays, string AtMostSays, string Range, string More, string Axis, string Table, string Caption, string Of100, string CostAtMost)
{
    /// <summary>The clinic's own language.</summary>
    public static ChartWords Of(PriceRange range) => new(
        "How likely each total is", range.MassSays(), range.AtMostSays(), $"{range.Central}", "1 in 100 cost more than {0}", $"total in {range.AtMost.Currency}; the higher a bar, the likelier",
        "The same as a table", "Of 100 totals like this, at least so many cost this or less", "Of 100", "Cost at most");
}
