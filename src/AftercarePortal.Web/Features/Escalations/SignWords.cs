namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The lexicon's ids in plain words.</summary>
internal static class SignWords
{
    /// <summary>They are plain words but for "vo-", its short sign for what may be a blocked vessel: a cause is not shown to staff, only what was said.</summary>
    public static string Of(string conceptId) => (conceptId.StartsWith("vo-", StringComparison.Ordinal) ? conceptId[3..] : conceptId).Replace('-', ' ');
}
