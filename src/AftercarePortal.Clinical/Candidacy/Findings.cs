using AftercarePortal.Clinical.Sources;
using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>What the rules say about one intake.</summary>
/// <param name="Version">The rules that said it.</param>
/// <param name="All">Strongest first. Empty means: nothing told needs sorting out before the consultation. It never clears anybody.</param>
/// <param name="Covered">Findings that another one in <paramref name="All"/> says already; for the clinician, who reads everything.</param>
public sealed record Findings(ContentVersion Version, IReadOnlyList<Finding> All, IReadOnlyList<Finding> Covered)
{
    /// <summary>True when the intake kindly ends here and nothing may be booked.</summary>
    public bool Stops => All.Any(f => f.Stops);

    /// <summary>The latest of the earliest dates of all wait findings; null when there is none, or when one of them has no date yet.</summary>
    public LocalDate? Earliest
    {
        get
        {
            LocalDate? latest = null;
            foreach (var finding in All.Concat(Covered))
            {
                if (finding.Kind != FindingKind.Wait) continue;
                if (finding.Earliest is not { } day) return null;
                if (latest is null || day > latest) latest = day;
            }

            return latest;
        }
    }
}
