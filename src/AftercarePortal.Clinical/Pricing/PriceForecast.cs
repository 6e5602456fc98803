namespace AftercarePortal.Clinical.Pricing;

/// <summary>The bare forecast of one wish, without words and reasons: for monitoring and for simulations over many patients.</summary>
/// <param name="Total">Every total with its probability.</param>
/// <param name="Amount">mL of filler at the first visit; null when no filler is wished.</param>
public sealed record PriceForecast(PriceDistribution Total, AmountForecast? Amount);
