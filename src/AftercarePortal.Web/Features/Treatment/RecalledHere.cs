using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>A recalled lot on a page, and where on the page it stands.</summary>
/// <param name="Places">Id of the element and its words; never empty.</param>
internal sealed record RecalledHere(RecallRow Recall, IReadOnlyList<(string Id, string Says)> Places)
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

    private static async Task<IReadOnlyList<RecalledHere>> Of(IReadOnlyList<(string Lot, string Id, string Says)> lots, PortalDb db, CancellationToken stop) =>
    [
        .. (await db.RecallsOf(lots.Select(l => l.Lot).Where(lot => lot.Length > 0), stop))
            .Select(recall => new RecalledHere(recall, [.. lots.Where(l => LotKey.Of(l.Lot) == LotKey.Of(recall.Lot)).Select(l => (l.Id, l.Says)).Distinct()])),
    ];
}
