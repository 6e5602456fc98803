using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Refuses every save that would change or delete a signed record, its placements or its addenda.</summary>
internal sealed class SignedRecordsStay : SaveChangesInterceptor
{
    public override ValueTask<InterceptionResult<int>> SavingChangesAsync(DbContextEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
    {
        if (eventData.Context!.ChangeTracker.Entries().Any(e =>
                e.Entity is TreatmentRow or PlacementRow or DrawnRow or AddendumRow && (e.State is EntityState.Modified or EntityState.Deleted)))
            throw new InvalidOperationException("A signed treatment record is never changed; write an addendum.");
        return base.SavingChangesAsync(eventData, result, cancellationToken);
    }
}
