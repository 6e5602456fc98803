using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Deletes an intake that was never sent, with its answers and results, when its link has ended. One that was sent stays.</summary>
internal sealed class ForgetIntake(PortalDb db) : IJobHandler
{
    /// <summary>Subject is the intake's id.</summary>
    public const string JobKind = "forget-intake";

    public string Kind => JobKind;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        if (!await db.Intakes.AnyAsync(i => i.Id == id && i.SubmittedAt == null, stop)) return;
        // Answers and results go with it, by the database.
        await db.Intakes.Where(i => i.Id == id && i.SubmittedAt == null).ExecuteDeleteAsync(stop);
    }
}
