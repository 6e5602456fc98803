namespace AftercarePortal.Clinical.Pricing;

/// <summary>How much of a clinic's recent work one injector did.</summary>
/// <param name="Id">As in <see cref="CompletedCase.Injector"/>; empty for cases without one.</param>
/// <param name="Share">0..1; all of a clinic add up to 1.</param>
public sealed record InjectorShare(string Id, double Share);
