using AftercarePortal.Web.Features.Treatment;
using NodaTime;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>What became of one intake: the visits that followed the invitation.</summary>
/// <param name="IntakeId">The intake that was quoted.</param>
/// <param name="PatientId">Whom it became.</param>
/// <param name="Records">Signed records with their addenda, the first first; never empty.</param>
internal sealed record Course(Guid IntakeId, Guid PatientId, IReadOnlyList<TreatmentRow> Records)
{
    /// <summary>A later record within so many days of the first belongs to the same course, as does its touch-up on any day; other later ones are treatments nobody was quoted for. Invented (demo).</summary>
    public const int Days = 120;

    public TreatmentRow First => Records[0];

    /// <summary>The records of each day, the first day first: several of one day are one visit.</summary>
    public IReadOnlyList<IReadOnlyList<TreatmentRow>> Visits => [.. Records.GroupBy(r => r.TreatedOn).OrderBy(day => day.Key).Select(day => day.ToList())];

    /// <summary>Who signed the first visit: taken as the injector.</summary>
    public string Injector => First.SignedBy;

    /// <summary>Whether a record lies in the course that begins with another.</summary>
    /// <param name="stands">Whether the record of an id holds: a touch-up of one entered twice, whose other copy was taken back, goes by its day.</param>
    public static bool Holds(TreatmentRow first, TreatmentRow other, Func<Guid, bool> stands) =>
        other.TouchUpOf == first.Id || ((other.TouchUpOf is not { } touched || !stands(touched)) && Period.DaysBetween(first.TreatedOn, other.TreatedOn) <= Days);

    /// <summary>Whether a record of it is a touch-up.</summary>
    public bool TouchedUp => Records.Any(r => r.TouchUpOf is not null);
}
