using AftercarePortal.Clinical.Products;
using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>What aftercare needs to know of one treatment.</summary>
/// <param name="On">The clinic's local date: day 0.</param>
/// <param name="Signed">When its record was, or would be, signed.</param>
/// <param name="Products">The classes given.</param>
public sealed record Given(LocalDate On, Instant Signed, IReadOnlyCollection<ProductClass> Products)
{
    /// <summary>Day of the treatment it touches up; null: a treatment of its own.</summary>
    public LocalDate? TouchesUp { get; init; }
}
