using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Staff;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>A flaw of the rota in words, on the clinic's wall clock.</summary>
internal static class FlawWords
{
    /// <summary>For example <c>Nobody is on call from Sat 28 November 2026, 20:00 to Sun 29 November 2026, 08:00.</c></summary>
    public static string Of(RotaFlaw flaw, DateTimeZone zone, StaffNames names) => flaw switch
    {
        RotaFlaw.Overlap overlap => $"{string.Join(" and ", overlap.People.Select(names.Of).Order(StringComparer.Ordinal))} are both number {overlap.Order} {Span(flaw.From, flaw.To, zone)}.",
        _ => $"Nobody is on call {Span(flaw.From, flaw.To, zone)}.",
    };

    /// <summary>An instant as people say it, for example <c>Sat 28 November 2026, 20:00</c>.</summary>
    public static string Wall(Instant at, DateTimeZone zone) => Plain.Weekday(at.InZone(zone));

    /// <summary>For example <c>from Sat 28 November 2026, 20:00 to Sun 29 November 2026, 08:00</c>.</summary>
    public static string Span(Instant from, Instant to, DateTimeZone zone) => $"from {Wall(from, zone)} to {Wall(to, zone)}";
}
