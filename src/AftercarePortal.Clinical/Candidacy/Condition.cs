using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>When a rule speaks. Three-valued: doubt is neither yes nor no.</summary>
public abstract record Condition
{
    private Condition() { }

    /// <summary>Whether it holds for these facts.</summary>
    public abstract Truth Holds(IntakeFacts facts);

    /// <summary>Adds the questions that made it hold or left it open, in the order of the condition, each once; none when it does not hold.</summary>
    internal abstract void AddCauses(IntakeFacts facts, List<string> causes);

    private static void Add(string linkId, List<string> causes)
    {
        if (!causes.Contains(linkId)) causes.Add(linkId);
    }

    /// <summary>A condition about one question.</summary>
    /// <param name="LinkId">The question.</param>
    public abstract record OfOne(string LinkId) : Condition
    {
        internal override void AddCauses(IntakeFacts facts, List<string> causes)
        {
            if (Holds(facts) != Truth.No) Add(LinkId, causes);
        }
    }

    /// <summary>At least one of the codes was given.</summary>
    public sealed record AnswerIs(string LinkId, IReadOnlyList<string> Codes) : OfOne(LinkId)
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => facts.TestCodes(LinkId, Codes);
    }

    /// <summary>The date given is fewer than so many days ago. A date still to come cannot be right here: unknown.</summary>
    /// <param name="LinkId">A date question.</param>
    /// <param name="Days">1 or more; day <c>Days</c> after the date is outside.</param>
    public sealed record WithinDays(string LinkId, int Days) : OfOne(LinkId)
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) =>
            facts.Unanswered(LinkId) is { } missing ? missing
            : facts.DateOf(LinkId) is not { } date || date > facts.Today ? Truth.Unknown
            : Period.DaysBetween(date, facts.Today) < Days ? Truth.Yes : facts.PlainNo(LinkId);
    }

    /// <summary>A day still to come lies fewer than so many days before or after another, such as the day wished for treatment.</summary>
    /// <param name="LinkId">A date question.</param>
    /// <param name="Of">The date question for the other day; without an answer to it: unknown.</param>
    /// <param name="Days">1 or more; day <c>Days</c> away is outside.</param>
    /// <param name="OnlyAfter">Only on the other day or after it: what lies before is over by then.</param>
    public sealed record NearDay(string LinkId, string Of, int Days, bool OnlyAfter = false) : Condition
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) =>
            facts.Unanswered(LinkId) is { } missing ? missing
            : facts.DateOf(LinkId) is not { } date || facts.DateOf(Of) is not { } other ? Truth.Unknown
            : IsNear(Period.DaysBetween(other, date)) ? Truth.Yes : facts.PlainNo(LinkId);

        private bool IsNear(int after) => after < Days && after > (OnlyAfter ? -1 : -Days);

        internal override void AddCauses(IntakeFacts facts, List<string> causes)
        {
            if (Holds(facts) is not (var truth and not Truth.No)) return;
            if (truth == Truth.Yes || facts.DateOf(LinkId) is null) Add(LinkId, causes);
            Add(Of, causes);
        }
    }

    /// <summary>Something was written. Asked and left out: unknown.</summary>
    /// <param name="LinkId">A question answered in words.</param>
    public sealed record Written(string LinkId) : OfOne(LinkId)
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => facts.Unanswered(LinkId) ?? Truth.Yes;
    }

    /// <summary>The words written name one of these (<see cref="WordsIn"/>). No words name nothing: this never adds doubt.</summary>
    /// <param name="LinkId">A question answered in words. Pair it with <see cref="Written"/> so that what is not recognised is flagged too.</param>
    /// <param name="Words">Words or short phrases, lower case.</param>
    public sealed record Names(string LinkId, IReadOnlyList<string> Words) : OfOne(LinkId)
    {
        private readonly string[][] phrases = [.. Words.Select(w => w.Split(' '))];

        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts)
        {
            foreach (var text in facts.Answers.ValuesOf(LinkId))
                if (WordsIn.Name(facts.WordsOf(text), phrases)) return Truth.Yes;
            return Truth.No;
        }
    }

    /// <summary>The person's own words held a warning sign. Nobody is asked for it, so no words mean no.</summary>
    /// <param name="LinkId">A question answered in words, named as the cause.</param>
    /// <param name="Concept">Id of a triage concept.</param>
    public sealed record Sign(string LinkId, string Concept) : OfOne(LinkId)
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => facts.Signs.Contains(Concept) ? Truth.Yes : Truth.No;
    }

    /// <summary>Younger than so many full years. A birth date to come, or 120 years back or more, is unknown.</summary>
    /// <param name="LinkId">The question for the date of birth.</param>
    /// <param name="Years">1 or more.</param>
    public sealed record AgeBelow(string LinkId, int Years) : OfOne(LinkId)
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts)
        {
            if (facts.Unanswered(LinkId) is { } missing) return missing;
            if (facts.DaysOf(LinkId) is not { } birth || birth.To > facts.Today || birth.From.PlusYears(120) <= facts.Today) return Truth.Unknown;
            var (youngest, oldest) = (facts.Today < Earliest.Birthday(birth.To, Years), facts.Today < Earliest.Birthday(birth.From, Years));
            return youngest != oldest ? Truth.Unknown : youngest ? Truth.Yes : facts.PlainNo(LinkId);
        }
    }

    /// <summary>Every part holds.</summary>
    public sealed record All(IReadOnlyList<Condition> Parts) : Condition
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts)
        {
            var weakest = Truth.Yes;
            for (var i = 0; i < Parts.Count && weakest != Truth.No; i++) weakest = Parts[i].Holds(facts) is var part && part < weakest ? part : weakest;
            return weakest;
        }

        internal override void AddCauses(IntakeFacts facts, List<string> causes)
        {
            if (Holds(facts) == Truth.No) return;
            for (var i = 0; i < Parts.Count; i++) Parts[i].AddCauses(facts, causes);
        }
    }

    /// <summary>At least one part holds.</summary>
    public sealed record Any(IReadOnlyList<Condition> Parts) : Condition
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts)
        {
            var strongest = Truth.No;
            for (var i = 0; i < Parts.Count && strongest != Truth.Yes; i++) strongest = Parts[i].Holds(facts) is var part && part > strongest ? part : strongest;
            return strongest;
        }

        internal override void AddCauses(IntakeFacts facts, List<string> causes)
        {
            for (var i = 0; i < Parts.Count; i++) Parts[i].AddCauses(facts, causes);
        }
    }

    /// <summary>The part does not hold. Doubt stays doubt.</summary>
    public sealed record Not(Condition Part) : Condition
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => Truth.Yes - (int)Part.Holds(facts);

        internal override void AddCauses(IntakeFacts facts, List<string> causes)
        {
            if (Holds(facts) == Truth.No) return;
            foreach (var linkId in LinkIdsOf(Part)) Add(linkId, causes);
        }
    }

    /// <summary>The part holds beyond doubt: what was left out contradicts nothing. Only for a rule that asks about answers that do not fit each other (<see cref="LeavesDoubtOut"/>).</summary>
    public sealed record Certain(Condition Part) : Condition
    {
        /// <inheritdoc />
        public override Truth Holds(IntakeFacts facts) => Part.Holds(facts) == Truth.Yes ? Truth.Yes : Truth.No;

        internal override void AddCauses(IntakeFacts facts, List<string> causes)
        {
            if (Holds(facts) == Truth.Yes) Part.AddCauses(facts, causes);
        }
    }

    /// <summary>Whether some part of it says no where others would be in doubt.</summary>
    public static bool LeavesDoubtOut(Condition condition) => condition switch
    {
        Certain => true,
        All all => all.Parts.Any(LeavesDoubtOut),
        Any any => any.Parts.Any(LeavesDoubtOut),
        Not not => LeavesDoubtOut(not.Part),
        _ => false,
    };

    /// <summary>Every question a condition looks at.</summary>
    public static IEnumerable<string> LinkIdsOf(Condition condition) => condition switch
    {
        OfOne one => [one.LinkId],
        NearDay near => [near.LinkId, near.Of],
        All all => all.Parts.SelectMany(LinkIdsOf),
        Any any => any.Parts.SelectMany(LinkIdsOf),
        Not not => LinkIdsOf(not.Part),
        Certain certain => LinkIdsOf(certain.Part),
        _ => [],
    };
}
