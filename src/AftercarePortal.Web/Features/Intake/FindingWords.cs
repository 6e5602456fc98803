namespace AftercarePortal.Web.Features.Intake;

/// <summary>What a finding is about, from the answers behind it: "a flare" alone says nothing.</summary>
internal static class FindingWords
{
    private const int LongestAnswer = 120;

    /// <summary>For example <c>Skin today: Eczema that is flaring now</c>; of long words of one's own only the question's name.</summary>
    public static string About(IntakeResult.ShownFinding finding) => string.Join(" · ", finding.Because.DistinctBy(c => c.LinkId).Select(c => c.Words.Length > LongestAnswer ? c.Name : $"{c.Name}: {c.Words}"));
}
