using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Staff;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Who was named to treat somebody.</summary>
/// <param name="LetGo">No longer works here: another is to be named.</param>
internal sealed record ToTreat(string Name, bool LetGo)
{
    /// <summary>As the latest examination of an intake says; null: nobody is named.</summary>
    public static async Task<ToTreat?> Of(PortalDb db, Guid intakeId, CancellationToken stop) =>
        await db.LatestExaminationOf(intakeId, stop) is { Injector: { } named } ? new(named, !(await db.NamesWhoMayTreat(stop)).Contains(named)) : null;
}
