namespace AftercarePortal.Web.Features.Staff;

/// <summary>Kinds of jobs this feature stores. They are done by features below it.</summary>
internal static class StaffJobs
{
    /// <summary>Somebody was let go: what they have or were asked to take is somebody else's; subject is the staff id. Done by Escalations.</summary>
    public const string LetGo = "staff-let-go";

    /// <summary>An account was added, let go or given a new start: the person hears it and old links end; subject is the change's id. Done by Rota.</summary>
    public const string Changed = "staff-changed";
}
