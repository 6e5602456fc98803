namespace AftercarePortal.Clinical.Pricing;

/// <summary>What the model could say about one wish.</summary>
public abstract record PriceOutcome
{
    private PriceOutcome() { }

    /// <summary>A range with its reasons.</summary>
    public sealed record Known(PriceRange Range) : PriceOutcome;

    /// <summary>No range yet.</summary>
    /// <param name="Because">One or more plain sentences, each naming what is missing or wrong.</param>
    public sealed record CannotSayYet(IReadOnlyList<string> Because) : PriceOutcome
    {
        /// <summary>Those of them the person can settle; the others are the clinic's to mend.</summary>
        public IReadOnlyList<string> FromWish { get; init; } = [];

        /// <summary>For example <c>We cannot say yet, because the clinic has set no price for HA filler.</c></summary>
        public override string ToString() => $"We cannot say yet, because {string.Join("; and because ", Because)}.";
    }
}
