namespace AftercarePortal.Testing;

/// <summary>Where the expected values of a check against the outside world were read.</summary>
/// <param name="citation">A bibliography id or a full citation.</param>
/// <param name="at">The place in it: page, table, section or line.</param>
[AttributeUsage(AttributeTargets.Class | AttributeTargets.Method, AllowMultiple = true)]
public sealed class SourceAttribute(string citation, string at) : Attribute
{
    /// <summary>What was read.</summary>
    public string Citation { get; } = citation;

    /// <summary>Where in it.</summary>
    public string At { get; } = at;
}
