namespace AftercarePortal.Clinical.Triage;

/// <summary>Atoms that must stand near each other.</summary>
/// <param name="Atoms">Names of atoms, one or more, each met by a different word.</param>
/// <param name="Within">Greatest distance in words from the first atom, 1 or more; a little word counts half, a sentence end two words more.</param>
/// <param name="MaxWords">Holds only in a stretch between commas or sentence ends of at most so many words; 0 means any length.</param>
/// <param name="InOrder">Each atom must follow the one before it.</param>
/// <param name="Without">Atoms that must not stand in the same window and clause.</param>
/// <param name="NotAfter">Atoms that must not follow the first word within four words of the same clause.</param>
public sealed record TriageFrame(
    IReadOnlyList<string> Atoms, int Within, int MaxWords, bool InOrder, IReadOnlyList<string> Without, IReadOnlyList<string> NotAfter)
{
    /// <summary>Greatest number of atoms in one frame.</summary>
    public const int MostAtoms = 4;
}
