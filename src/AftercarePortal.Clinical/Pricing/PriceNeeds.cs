namespace AftercarePortal.Clinical.Pricing;

/// <summary>Which prices and figures a wish needs.</summary>
internal static class PriceNeeds
{
    /// <summary>One plain reason for each that is not there or cannot be used.</summary>
    public static IEnumerable<string> Missing(PriceModel model, PriceFacts facts, PriceList prices, ClinicFigures figures)
    {
        if (prices.Currency.Length != 3 || !prices.Currency.All(c => c is >= 'A' and <= 'Z')) yield return "the clinic's price list names no currency";
        foreach (var (code, _) in facts.Products)
            if (code is not null && model.Open.Product.ContainsKey(code) && !prices.Fillers.ContainsKey(code)) yield return $"the clinic has set no price for {model.Words.Products[code]}";
        if (facts.Toxin && prices.ToxinUnit is null) yield return "the clinic has set no price for botulinum toxin type A";
        if (prices.Fee is null) yield return "the clinic has not said whether it charges a fee";
        if (figures.Fault() is { } fault) yield return $"the clinic's own figures cannot be used: {fault}";
        else if (figures.Parameters.Distinct().Count() != figures.Parameters.Count) yield return "the clinic's own figures cannot be used: Parameters must not name one twice";
        else if (model.ColdStart().Parameters.Except(figures.Parameters).Any()) yield return "the clinic's own figures cannot be used: Parameters lack one that the model needs";
    }
}
