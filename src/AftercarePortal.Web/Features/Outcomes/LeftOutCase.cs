namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>A case that was not learned from.</summary>
/// <param name="Id">Id of the record and the product.</param>
/// <param name="Reason">Plain words of the core.</param>
internal sealed record LeftOutCase(string Id, string Reason);
