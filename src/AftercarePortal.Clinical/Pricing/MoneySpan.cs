namespace AftercarePortal.Clinical.Pricing;

/// <summary>From one amount to another, both included.</summary>
public sealed record MoneySpan
{
    /// <summary>Makes a span.</summary>
    /// <exception cref="ArgumentException">Two currencies, or <paramref name="to"/> below <paramref name="from"/>.</exception>
    public MoneySpan(Money from, Money to)
    {
        if (from.Currency != to.Currency) throw new ArgumentException("A span has one currency.", nameof(to));
        if (to.Minor < from.Minor) throw new ArgumentException("A span ends at or above its start.", nameof(to));
        (From, To) = (from, to);
    }

    /// <summary>The lower end.</summary>
    public Money From { get; }

    /// <summary>The upper end.</summary>
    public Money To { get; }

    /// <summary>For example <c>1,200 to 2,500 USD</c>; one amount when both ends agree.</summary>
    public override string ToString() => From == To ? From.ToString() : $"{From.ToString()[..^(From.Currency.Length + 1)]} to {To}";
}
