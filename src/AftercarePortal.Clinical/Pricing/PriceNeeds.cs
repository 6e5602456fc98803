namespace AftercarePortal.Clinical.Pricing;

/// <summary>Which prices and figures a wish needs.</summary>
internal static class PriceNeeds
{
    /// <summary>One plain reason for each that is not there or cannot be used.</summary>
    public static IEnumerable<string> Missing(PriceModel model, PriceFacts facts, PriceList prices, ClinicFigures figures)
    {
        if (Currency.MinorDigits(prices.Currency) is null) yield return "the clinic's price list names no currency that is in use";
        foreach (var (code, _) in facts.Products)
        {
            if (code is null || !model.Open.Product.ContainsKey(code)) continue;
            if (!prices.Fillers.TryGetValue(code, out var price)) yield return $"the clinic has set no price for {model.Words.Products[code]}";
            else if (price.First == 0 || price.Next == 0) yield return $"the clinic's price for {model.Words.Products[code]} is 0";
            else if (price.UnitMl is >= 0 and < ProductPrice.SmallestUnitMl) yield return $"the clinic bills {model.Words.Products[code]} by too small a unit (UnitMl of {code} must be above 0)";
        }

        if (facts.Toxin && prices.ToxinUnit is null) yield return "the clinic has set no price for botulinum toxin type A";
        if (facts.Toxin && prices.ToxinUnit == 0) yield return "the clinic's price for botulinum toxin type A is 0";
        if (facts.Sessions && prices.Session == 0) yield return "the clinic's price for a session of skin treatment is 0";
        if (prices.Fee is null) yield return "the clinic has not said whether it charges a fee";
        if (figures.Fault() is { } fault) yield return $"the clinic's own figures cannot be used: {fault}";
        else if (figures.Parameters.Distinct().Count() != figures.Parameters.Count) yield return "the clinic's own figures cannot be used: Parameters must not name one twice";
        else if (model.ColdStart().Parameters.Except(figures.Parameters).Any()) yield return "the clinic's own figures cannot be used: Parameters lack one that the model needs";
    }
}
