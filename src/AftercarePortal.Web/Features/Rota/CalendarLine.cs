using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>One event of a calendar file as a shift, or why it is none.</summary>
/// <param name="Title">As the file names it.</param>
/// <param name="Person">Staff id; null with a fault.</param>
/// <param name="Fault">Why it becomes no shift; null: it does.</param>
internal sealed record CalendarLine(string Title, string? Person, Instant From, Instant To, string? Fault);
