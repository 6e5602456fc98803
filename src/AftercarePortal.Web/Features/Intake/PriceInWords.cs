using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Shared;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>A kept range in the language a person reads.</summary>
internal static class PriceInWords
{
    /// <summary>The range with the model's sentences in that language; of another version of the model it stays as it was written.</summary>
    public static PriceRange In(this PriceRange range, PriceModel model, string language) =>
        range.Model == model.Version && model.Translations.TryGetValue(language, out var words) ? range.In(model.Words, words) : range;

    /// <summary>For example <c>1,200 a 3,400 USD</c>; one amount when both ends agree.</summary>
    public static string Span(MoneySpan span, PageWords say) =>
        span.From == span.To ? $"{span.From}" : say.Say("price-span", span.From.Amount(), span.To);

    /// <summary>What the range was made for, for example <c>at least 9 in 10</c>.</summary>
    public static string Promise(PriceRange range, PageWords say) => Counted("price-promise", range, say);

    /// <summary>How often a part falls in its span.</summary>
    public static string InAbout(PriceRange range, PageWords say) => Counted("price-share", range, say);

    private static string Counted(string key, PriceRange range, PageWords say) => PromisedShare.Counted(range.Promised) is var (held, of) ? say.Say(key, held, of) : "";

    /// <summary>The words of the chart.</summary>
    public static ChartWords Chart(PriceRange range, PageWords say) => new(
        say["chart-title"],
        range.MassInside >= 0.995m ? say.Say("chart-mass-all", range.Central.From, range.Central.To) : say.Say("chart-mass", (int)(range.MassInside * 100), range.Central.From, range.Central.To),
        say.Say("chart-at-most", range.AtMost), Span(range.Central, say), say["chart-more"], say.Say("chart-axis", range.AtMost.Currency),
        say["chart-table"], say["chart-caption"], say["chart-of-100"], say["chart-cost-at-most"]);

    /// <summary>How much stands behind it.</summary>
    public static string Cases(PriceRange range, PageWords say) =>
        $"{(range.Cases == 0 ? say["price-no-cases"] : say.Say("price-cases", range.Cases))} {say.Say("price-versions", range.Model, range.Prices)}";
}
