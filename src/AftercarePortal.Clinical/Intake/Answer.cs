namespace AftercarePortal.Clinical.Intake;

/// <summary>What a person did with one question: answered, skipped, or said "not sure". Three different things.</summary>
public abstract record Answer
{
    private Answer() { }

    /// <summary>Answered. <paramref name="Values"/> holds option codes, <c>yes</c>/<c>no</c>, an ISO date or interval (<see cref="DayRange"/>), or free text; one or more.</summary>
    public sealed record Given(IReadOnlyList<string> Values) : Answer
    {
        /// <summary>A single value.</summary>
        public Given(string value) : this([value]) { }

        /// <inheritdoc />
        public bool Equals(Given? other) => other is not null && Values.SequenceEqual(other.Values);

        /// <inheritdoc />
        public override int GetHashCode() => Values.Aggregate(17, HashCode.Combine);
    }

    /// <summary>Left out on purpose.</summary>
    public sealed record Skipped : Answer;

    /// <summary>The person does not know. Counts as the flagging answer.</summary>
    public sealed record NotSure : Answer;
}
