using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>The range from the answers, and the one after an examination when there is one.</summary>
internal sealed record ShownPrices(PriceRange First, PriceRange? Narrower);
