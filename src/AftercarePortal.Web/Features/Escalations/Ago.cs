using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>How long something has lasted, in words for somebody just woken up.</summary>
internal static class Ago
{
    /// <summary>For example <c>3 min</c>, <c>2 h 05 min</c>, <c>4 days</c>. Negative counts as nothing.</summary>
    public static string Say(Duration lasted) => lasted switch
    {
        _ when lasted < Duration.FromMinutes(1) => "less than a minute",
        _ when lasted < Duration.FromHours(1) => $"{(int)lasted.TotalMinutes} min",
        _ when lasted < Duration.FromDays(2) => $"{(int)lasted.TotalHours} h {lasted.Minutes:00} min",
        _ => $"{(int)lasted.TotalDays} days",
    };
}
