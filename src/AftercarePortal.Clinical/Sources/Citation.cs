namespace AftercarePortal.Clinical.Sources;

/// <summary>Where a statement comes from and how strong that source is.</summary>
/// <param name="SourceId">Entry of <c>content/sources.yaml</c>.</param>
/// <param name="Grade">Strength of the source for this statement.</param>
/// <param name="Seen">True when the text was read; false when cited from memory and unchecked.</param>
public sealed record Citation(string SourceId, Grade Grade, bool Seen);

/// <summary>Strength of a source. Most of this field is C or D.</summary>
public enum Grade
{
    /// <summary>Regulator text, product labelling or law.</summary>
    R,
    /// <summary>Systematic review or randomised trial.</summary>
    A,
    /// <summary>Cohort, registry, observational.</summary>
    B,
    /// <summary>Consensus or guideline.</summary>
    C,
    /// <summary>Case series, mechanism, habit of the trade.</summary>
    D,
}
