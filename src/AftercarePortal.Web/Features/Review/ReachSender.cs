using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>How the person who sent an intake is reached, as staff have put it right since: in the current unit of work, too.</summary>
internal sealed class ReachSender(PortalDb db) : IReachSender
{
    public Task<Reached> Of(IntakeRow intake, CancellationToken stop) => db.ReachedOf(intake, stop);

    public async Task<IReadOnlyList<Guid>> IntakesOf(string number, CancellationToken stop)
    {
        var patients = db.Patients;
        var named = await db.Decisions.AsNoTracking().Where(d => patients.Any(p => p.Id == d.PatientId && p.Number == number)).Select(d => d.IntakeId).Distinct().ToListAsync(stop);
        return named;
    }
}

/// <inheritdoc cref="ReachSender" />
internal static class Reaching
{
    /// <inheritdoc cref="IReachSender.Of" />
    public static async Task<Reached> ReachedOf(this PortalDb db, IntakeRow intake, CancellationToken stop)
    {
        // A decision that is being made counts: it may name a patient who has another number, or wants no texts.
        var deciding = db.ChangeTracker.Entries<DecisionRow>().FirstOrDefault(e => e is { State: EntityState.Added, Entity: { PatientId: not null } decision } && decision.IntakeId == intake.Id)?.Entity.PatientId;
        var patient = (deciding ?? await db.SenderOf(intake.Id, stop)) is { } sender ? await db.FindAsync<PatientRow>([sender], stop) : null;
        var (number, agreed) = patient is null ? (intake.Number!, intake.MayText) : (patient.Number, patient.AgreedToTextsAt is { } at && (intake.MayText || at > intake.SubmittedAt));     // who wanted none about this intake gets none, unless agreed to since
        return new(number, agreed, await db.HasStopped(number, stop), await db.WrongNumberOf(number, stop) is not null);
    }
}
