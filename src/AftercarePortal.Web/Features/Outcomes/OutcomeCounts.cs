namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>What became of the ranges: only treated people can be compared, so the others are counted beside them.</summary>
/// <param name="Quoted">Intakes that were sent with a range.</param>
/// <param name="Invited">Of them invited.</param>
/// <param name="Treated">Of them treated.</param>
/// <param name="Changed">Of them treated otherwise than wished, so not compared.</param>
/// <param name="Ended">Courses that were said to be over.</param>
internal sealed record OutcomeCounts(int Quoted, int Invited, int Treated, int Changed, int Ended);
