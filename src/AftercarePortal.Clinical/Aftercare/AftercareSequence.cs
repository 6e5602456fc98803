using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;
using AftercarePortal.Clinical.Treatment;
using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>One published version of the aftercare of one product class.</summary>
/// <param name="Version">The file that says so.</param>
/// <param name="For">The product class.</param>
/// <param name="Steps">Every message; never empty.</param>
public sealed record AftercareSequence(ContentVersion Version, ProductClass For, IReadOnlyList<Step> Steps)
{
    /// <summary>The plan of a record by this sequence alone. Without a placement of its class it has no steps.</summary>
    /// <param name="record">The signed record.</param>
    /// <param name="zone">The clinic's time zone (IANA).</param>
    /// <param name="quietHours">When no step is sent.</param>
    public AftercarePlan PlanFor(TreatmentRecord record, DateTimeZone zone, QuietHours quietHours) =>
        new AftercareSequences([this]).PlanFor(record, zone, quietHours);
}
