using AftercarePortal.Web.Features.Treatment;
using NodaTime;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>What became of one intake: the visits that followed the invitation.</summary>
/// <param name="IntakeId">The intake that was quoted.</param>
/// <param name="PatientId">Whom it became.</param>
/// <param name="Visits">Signed records with their addenda, the first visit first; never empty.</param>
internal sealed record Course(Guid IntakeId, Guid PatientId, IReadOnlyList<TreatmentRow> Visits)
{
    /// <summary>A later record within so many days of the first belongs to the same course, as does its touch-up on any day; other later ones are treatments nobody was quoted for. Invented (demo).</summary>
    public const int Days = 120;

    public TreatmentRow First => Visits[0];

    /// <summary>Who signed the first visit: taken as the injector.</summary>
    public string Injector => First.SignedBy;

    /// <summary>Whether a record lies in the course that begins with another.</summary>
    public static bool Holds(TreatmentRow first, TreatmentRow other) => other.TouchUpOf == first.Id || (other.TouchUpOf is null && Period.DaysBetween(first.TreatedOn, other.TreatedOn) <= Days);

    /// <summary>Whether a visit of it was recorded as a touch-up.</summary>
    public bool TouchedUp => Visits.Any(v => v.TouchUpOf is not null);
}
