using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>A recalled lot on a page, and where on the page it stands.</summary>
/// <param name="MayBe">The lot may be the recalled one with what stood behind it on the pack (<see cref="LotKey.MayHaveRunOn"/>); nothing is refused for it.</param>
/// <param name="Places">Id of the element and its words; never empty.</param>
internal sealed record RecalledHere(RecallRow Recall, bool MayBe, IReadOnlyList<(string Id, string Says)> Places)
{
    /// <summary>Of a signed record as addenda put it right.</summary>
    public static Task<IReadOnlyList<RecalledHere>> In(TreatmentRow right, PortalDb db, CancellationToken stop) =>
        Of([.. right.Placements.Select(p => (p.Lot, $"placement-{p.Ordinal}", $"placement {p.Ordinal}")), .. right.Drawn.Select(d => (d.Lot, "drawn", "what was drawn up"))], db, stop);

    /// <summary>Of a form that is still being written.</summary>
    public static Task<IReadOnlyList<RecalledHere>> In(RecordForm form, PortalDb db, CancellationToken stop) => Of(
        [
            .. form.Lines.SelectMany((l, i) => RecordForm.LotsOf(l).Select(lot => (lot, $"line-{i}", $"placement {i + 1}"))),
            .. form.Drawn.Select(d => (d.Lot ?? "", "drawn", "what was drawn up")),
        ], db, stop);

    private static async Task<IReadOnlyList<RecalledHere>> Of(IReadOnlyList<(string Lot, string Id, string Says)> lots, PortalDb db, CancellationToken stop)
    {
        var keys = lots.Where(l => l.Lot.Length > 0).Select(l => (Key: LotKey.Of(l.Lot), l.Id, l.Says)).ToList();
        if (keys.Count == 0) return [];
        var recalls = (await db.Recalls.AsNoTracking().ToListAsync(stop)).OrderByDescending(r => r.ApprovedAt).DistinctBy(r => LotKey.Of(r.Lot)).ToList();
        return [.. With(mayBe: false, (kept, recalled) => kept == recalled), .. With(mayBe: true, LotKey.MayHaveRunOn)];

        IEnumerable<RecalledHere> With(bool mayBe, Func<string, string, bool> fits) =>
            recalls.Select(recall => new RecalledHere(recall, mayBe, [.. keys.Where(l => fits(l.Key, LotKey.Of(recall.Lot))).Select(l => (l.Id, l.Says)).Distinct()])).Where(r => r.Places.Count > 0);
    }
}
