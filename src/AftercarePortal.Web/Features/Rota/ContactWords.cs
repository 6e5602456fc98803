using AftercarePortal.Web.Features.Staff;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Whether pages reach one person, in words.</summary>
/// <param name="Person">Staff id.</param>
/// <param name="Troubles">What is wrong, a sentence each; empty: nothing known.</param>
/// <param name="Proven">When text and call were last shown to work.</param>
/// <param name="EverProven">Whether one of them ever was.</param>
internal sealed record ContactWords(string Person, string Name, IReadOnlyList<string> Troubles, string Proven, bool EverProven)
{
    public static ContactWords Of(ContactState state, StaffNames names, DateTimeZone zone)
    {
        string Since(Instant? at) => at is { } proven ? $"proven {FlawWords.Wall(proven, zone)}" : "never proven";
        var troubles = state.Troubles.Select(t => $"{state.Number} {TroubleReading.Words(t.What, t.Way)} ({FlawWords.Wall(t.At, zone)}).");
        if (state.Missed is { } missed) troubles = troubles.Append($"The test page of {FlawWords.Wall(missed, zone)} was not taken in time.");
        if (state.Unproven) troubles = troubles.Append($"{state.Number} is new, and its test page was not taken yet.");
        return new(state.Person, names.Of(state.Person), [.. troubles], $"Text {Since(state.TextProven)}, call {Since(state.CallProven)}", (state.TextProven ?? state.CallProven) is not null);
    }
}
