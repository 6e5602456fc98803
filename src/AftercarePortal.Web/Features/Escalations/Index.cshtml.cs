using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>All open escalations of the clinic, heaviest and oldest first.</summary>
internal sealed class IndexModel(PortalDb db, TimeProvider time) : PageModel
{
    public sealed record Line(Guid Id, string Ref, string TierName, string Waiting, string? TakenBy);

    public IReadOnlyList<Line> Open { get; private set; } = [];

    public async Task OnGetAsync(CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var rows = await db.Escalations.AsNoTracking().Where(e => e.ClosedAt == null).ToListAsync(stop);
        Open =
        [
            .. rows.OrderByDescending(e => e.Tier).ThenBy(e => e.OpenedAt)
                .Select(e => new Line(e.Id, e.Ref, e.Tier.Name(), Ago.Say(now - e.OpenedAt), e.TakenBy)),
        ];
    }
}
