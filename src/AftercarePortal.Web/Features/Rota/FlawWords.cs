using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Features.Staff;
using NodaTime;
using System.Globalization;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>A flaw of the rota in words, on the clinic's wall clock.</summary>
internal static class FlawWords
{
    /// <summary>For example <c>Nobody is on call from Sat 28 November 20:00 to Sun 29 November 08:00.</c></summary>
    public static string Of(RotaFlaw flaw, DateTimeZone zone, StaffNames names) => flaw switch
    {
        RotaFlaw.Overlap overlap => $"{string.Join(" and ", overlap.People.Select(names.Of).Order(StringComparer.Ordinal))} are both number {overlap.Order} {Span(flaw.From, flaw.To, zone)}.",
        _ => $"Nobody is on call {Span(flaw.From, flaw.To, zone)}.",
    };

    /// <summary>An instant as people say it, for example <c>Sat 28 November 20:00</c>.</summary>
    public static string Wall(Instant at, DateTimeZone zone) => at.InZone(zone).ToString("ddd d MMMM HH:mm", CultureInfo.InvariantCulture);

    /// <summary>The same with its year when that is not this year's.</summary>
    public static string Wall(Instant at, DateTimeZone zone, Instant now) =>
        at.InZone(zone).Year is var year && year == now.InZone(zone).Year ? Wall(at, zone) : $"{Wall(at, zone)}, {year}";

    /// <summary>The end of a stretch: with its year when that is not the year it began in.</summary>
    public static string End(Instant from, Instant to, DateTimeZone zone) =>
        Wall(to, zone) is var wall && to.InZone(zone).Year is var year && year != from.InZone(zone).Year ? $"{wall}, {year}" : wall;

    /// <summary>For example <c>from Sat 28 November 20:00 to Sun 29 November 08:00</c>.</summary>
    public static string Span(Instant from, Instant to, DateTimeZone zone) => $"from {Wall(from, zone)} to {End(from, to, zone)}";
}
