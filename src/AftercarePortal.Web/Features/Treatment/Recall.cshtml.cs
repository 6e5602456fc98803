using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>How far one recall's text came: whom to ring first.</summary>
internal sealed class RecallModel(PortalDb db) : PageModel
{
    public RecallRow Recall { get; private set; } = null!;
    /// <summary>Every patient of the recall, those to ring first.</summary>
    public IReadOnlyList<RecallStandingShown> Standings { get; private set; } = [];

    /// <summary>Patients whose records name the lot and whom no recall of it lists, such as those signed later; by name.</summary>
    public IReadOnlyList<LotPatient> Since { get; private set; } = [];

    /// <summary>Where else the lot is named or may be meant, such as in drafts; by name.</summary>
    public IReadOnlyList<LotTrace> Traces { get; private set; } = [];

    public async Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop)
    {
        if (await db.Recalls.AsNoTracking().SingleOrDefaultAsync(r => r.Id == id, stop) is not { } recall) return NotFound();
        Recall = recall;
        Standings = await db.StandingsOf(id, stop);
        Since = [.. (await db.NobodyListed(LotKey.Of(recall.Lot), stop)).SelectMany(lot => lot.Patients)];
        Traces = await db.TracesOfLot(recall.Lot, stop);
        return Page();
    }
}
