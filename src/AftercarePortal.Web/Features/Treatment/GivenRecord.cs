using AftercarePortal.Clinical.Aftercare;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>What aftercare needs to know of records that hold.</summary>
internal static class GivenRecord
{
    /// <param name="all">Records of the same patient that hold, among them the one it touches up; one that does not hold counts as never signed.</param>
    public static Given Given(this TreatmentRow treatment, IEnumerable<TreatmentRow> all) =>
        new(treatment.TreatedOn, treatment.SignedAt, [.. treatment.Placements.Select(p => p.ProductClass).Distinct()]) { TouchesUp = FirstDay(treatment.TouchUpOf, all) };

    /// <summary>The day of the treatment that is touched up; null: there is none.</summary>
    public static LocalDate? FirstDay(Guid? touchUpOf, IEnumerable<TreatmentRow> all) => all.FirstOrDefault(t => t.Id == touchUpOf)?.TreatedOn;
}
