namespace AftercarePortal.Web.Features.Shared;

/// <summary>What a form says it was opened at: the number of the latest of something that is only added.</summary>
/// <remarks>It comes back from a browser. A smaller number than the latest is an older page; any other but the latest was never on a page, and must not become the number of the next.</remarks>
internal static class OpenedAt
{
    /// <summary>Said where the number was on no page.</summary>
    public const string Never = "Open the page anew: this form was not opened from it.";
}
