using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>When a rule speaks. Three-valued: doubt is neither yes nor no.</summary>
public abstract record Condition
{
    private Condition() { }

    /// <summary>Whether it holds for these facts.</summary>
    public abstract Truth Holds(IntakeFacts facts);

    /// <summary>The questions that made it hold or left it open, in the order of the condition; empty when it does not hold.</summary>
    public abstract IEnumerable<string> Causes(IntakeFacts facts);

    /// <summary>A condition about one question.</summary>
    /// <param name="LinkId">The question.</param>
    public abstract record OfOne(string LinkId) : Condition
    {
        /// <inheritdoc />
        public override IEnumerable<string> Causes(IntakeFacts facts) => Holds(facts) == Truth.No ? [] : [LinkId];
    }

    /// <summary>At least one of the codes was given.</summary>
    public sealed record AnswerIs(string LinkId, IReadOnlyList<string> Codes) : OfOne(LinkId)
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => facts.Test(LinkId, values => values.Any(Codes.Contains) ? Truth.Yes : Truth.No);
    }

    /// <summary>The date given is fewer than so many days ago. A date still to come cannot be right here: unknown.</summary>
    /// <param name="LinkId">A date question.</param>
    /// <param name="Days">1 or more; day <c>Days</c> after the date is outside.</param>
    public sealed record WithinDays(string LinkId, int Days) : OfOne(LinkId)
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => facts.TestDate(LinkId, date =>
            date > facts.Today ? Truth.Unknown : Period.DaysBetween(date, facts.Today) < Days ? Truth.Yes : Truth.No);
    }

    /// <summary>Younger than so many full years. A birth date to come, or 120 years back or more, is unknown.</summary>
    /// <param name="LinkId">The question for the date of birth.</param>
    /// <param name="Years">1 or more.</param>
    public sealed record AgeBelow(string LinkId, int Years) : OfOne(LinkId)
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => facts.TestDate(LinkId, birth =>
            birth > facts.Today || birth.PlusYears(120) <= facts.Today ? Truth.Unknown
            : facts.Today < Earliest.Birthday(birth, Years) ? Truth.Yes : Truth.No);
    }

    /// <summary>Every part holds.</summary>
    public sealed record All(IReadOnlyList<Condition> Parts) : Condition
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => Parts.Min(p => p.Holds(facts));

        /// <inheritdoc />
        public override IEnumerable<string> Causes(IntakeFacts facts) => Holds(facts) == Truth.No ? [] : Parts.SelectMany(p => p.Causes(facts)).Distinct();
    }

    /// <summary>At least one part holds.</summary>
    public sealed record Any(IReadOnlyList<Condition> Parts) : Condition
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => Parts.Max(p => p.Holds(facts));

        /// <inheritdoc />
        public override IEnumerable<string> Causes(IntakeFacts facts) => Parts.SelectMany(p => p.Causes(facts)).Distinct();
    }

    /// <summary>The part does not hold. Doubt stays doubt.</summary>
    public sealed record Not(Condition Part) : Condition
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => Truth.Yes - (int)Part.Holds(facts);

        /// <inheritdoc />
        public override IEnumerable<string> Causes(IntakeFacts facts) => Holds(facts) == Truth.No ? [] : LinkIdsOf(Part).Distinct();
    }

    /// <summary>Every question a condition looks at.</summary>
    public static IEnumerable<string> LinkIdsOf(Condition condition) => condition switch
    {
        OfOne one => [one.LinkId],
        All all => all.Parts.SelectMany(LinkIdsOf),
        Any any => any.Parts.SelectMany(LinkIdsOf),
        Not not => LinkIdsOf(not.Part),
        _ => [],
    };
}
