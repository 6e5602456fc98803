using NodaTime;

namespace AftercarePortal.Clinical.Escalations;

/// <summary>A stretch of time in which the rota is not as it should be.</summary>
/// <param name="From">Start, inclusive.</param>
/// <param name="To">End, exclusive; after <paramref name="From"/>.</param>
public abstract record RotaFlaw(Instant From, Instant To)
{
    /// <summary>Nobody is on call: a report pages everyone.</summary>
    /// <param name="From">Start, inclusive.</param>
    /// <param name="To">End, exclusive.</param>
    public sealed record Gap(Instant From, Instant To) : RotaFlaw(From, To);

    /// <summary>Several people hold the same place in the order, so who is paged first depends on when their shifts began.</summary>
    /// <param name="From">Start, inclusive.</param>
    /// <param name="To">End, exclusive.</param>
    /// <param name="Order">The place, 1 is paged first.</param>
    /// <param name="People">Who holds it, by name.</param>
    public sealed record Overlap(Instant From, Instant To, int Order, IReadOnlyList<string> People) : RotaFlaw(From, To)
    {
        /// <inheritdoc />
        public bool Equals(Overlap? other) => other is not null && (From, To, Order) == (other.From, other.To, other.Order) && People.SequenceEqual(other.People);

        /// <inheritdoc />
        public override int GetHashCode() => HashCode.Combine(From, To, Order, People.Count);
    }
}
