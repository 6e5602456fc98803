using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Treatment;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>One treatment as the report shows it: what went where, put right by what was added later.</summary>
/// <param name="Id">Of the record.</param>
/// <param name="Day">Days since it on the clinic's calendar, 0 or more.</param>
/// <param name="TreatedOn">For example <c>3 June 2026</c>.</param>
/// <param name="Placements">In the order of the record; empty: it was stopped before anything was placed.</param>
/// <param name="Events">What happened during or right after it, in the signer's words; empty: nothing was written down.</param>
/// <param name="Addenda">What was added after signing, the oldest first, each with who and when.</param>
internal sealed record GivenTreatment(Guid Id, int Day, string TreatedOn, IReadOnlyList<GivenTreatment.Placed> Placements, string Events, IReadOnlyList<string> Addenda)
{
    /// <summary>One placement, in words.</summary>
    /// <param name="Product">Name and product class.</param>
    /// <param name="Where">Region, side and plane.</param>
    /// <param name="Amount">The right amount with its unit, and what was signed where an addendum put something right.</param>
    internal sealed record Placed(string Product, string Lot, string Where, string Amount);

    /// <summary>In words.</summary>
    /// <param name="treatment">One that holds, as its addenda put it right.</param>
    /// <param name="today">The clinic's local date.</param>
    /// <param name="zone">The clinic's time zone (IANA).</param>
    public static GivenTreatment Of(TreatmentRow treatment, LocalDate today, DateTimeZone zone) => new(
        treatment.Id, Math.Max(0, Period.DaysBetween(treatment.TreatedOn, today)), Plain.Day(treatment.TreatedOn),
        [
            .. treatment.Placements.OrderBy(p => p.Ordinal).Select(p => new Placed(
                $"{p.ProductName} ({p.ProductClass.Name()})", p.Lot, $"{Plain.Words(p.Region)}, {Plain.Words(p.Side)}, {Plain.Words(p.Plane)}", p.WasSigned is null ? p.Amount : $"{p.Amount} (signed as {p.WasSigned})")),
        ],
        treatment.Events,
        [.. treatment.Addenda.OrderBy(a => a.WrittenAt).ThenBy(a => a.Id).Select(a => $"{a.Text} ({a.WrittenBy}, {Plain.Day(a.WrittenAt.InZone(zone).Date)})")]);
}
