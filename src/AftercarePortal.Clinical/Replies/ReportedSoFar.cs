using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Clinical.Replies;

/// <summary>What the open report of a number holds before a text is read.</summary>
/// <param name="Tier">Of the report; routine when none is open.</param>
/// <param name="Signs">Ids of the urgent signs, and worse ones, written so far.</param>
public sealed record ReportedSoFar(Tier Tier, IReadOnlySet<string> Signs)
{
    /// <summary>No report is open.</summary>
    public static ReportedSoFar Nothing { get; } = new(Tier.Routine, new HashSet<string>());

    /// <summary>Ids of the urgent signs, and worse ones, of one reading.</summary>
    public static IEnumerable<string> SignsOf(Reading reading) => reading.Clues.Where(c => c.Tier >= Tier.Urgent).Select(c => c.ConceptId);

    /// <summary>Whether a reading holds an urgent sign, or a worse one, not written before.</summary>
    public bool LacksASignOf(Reading reading) => SignsOf(reading).Except(Signs).Any();

    /// <summary>Whether a reading is urgent and worse than the report so far, or holds a sign not written before.</summary>
    internal bool IsWorsenedBy(Reading reading) => (reading.Tier >= Tier.Urgent && reading.Tier > Tier) || LacksASignOf(reading);
}
