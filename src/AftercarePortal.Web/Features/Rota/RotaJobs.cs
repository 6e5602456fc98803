namespace AftercarePortal.Web.Features.Rota;

/// <summary>Kinds of jobs this feature stores.</summary>
internal static class RotaJobs
{
    /// <summary>A shift begins, or another day of a long one: test page; subject is the shift's id.</summary>
    public const string ShiftBegins = "shift-begins";

    /// <summary>The time to take a test page is over; subject is its id.</summary>
    public const string TestDue = "test-page-due";
}
