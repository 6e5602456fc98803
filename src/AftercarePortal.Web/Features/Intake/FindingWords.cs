namespace AftercarePortal.Web.Features.Intake;

/// <summary>What a finding is about, from the answers behind it: "a flare" alone says nothing.</summary>
internal static class FindingWords
{
    private const int LongestAnswer = 120;

    /// <summary>For example <c>Skin now: Eczema that is flaring</c>; questions answered alike stand together, and of long words of one's own only the question's name.</summary>
    public static string About(IntakeResult.ShownFinding finding) => string.Join(" · ",
        from cause in finding.Because.DistinctBy(c => c.LinkId)
        group cause.Name by cause.Words.Length > LongestAnswer ? "" : cause.Words into alike
        select alike.Key.Length == 0 ? string.Join(", ", alike) : $"{string.Join(", ", alike)}: {alike.Key}");
}
