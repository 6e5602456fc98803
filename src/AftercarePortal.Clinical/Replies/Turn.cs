using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Clinical.Replies;

/// <summary>What becomes of one text.</summary>
/// <param name="Tier">The reading's tier, or higher; a check-in answer or a language asked for, and nothing else, stands for itself.</param>
/// <param name="Reasons">Why it was raised or what was understood, in plain words for staff.</param>
/// <param name="Answers">Ids of texts that go out: instead of the routine reply, or after the reply of a higher tier.</param>
/// <param name="Code">The check-in answer it is, or null.</param>
/// <param name="SwitchTo">The language it asks for, or null.</param>
/// <param name="SaysWrongNumber">Care texts to this number end until a person has looked.</param>
/// <param name="IsSilent">Nothing more is sent to this number by itself for now; a person looks.</param>
public sealed record Turn(Tier Tier, IReadOnlyList<string> Reasons, IReadOnlyList<string> Answers, CheckInAnswer? Code, string? SwitchTo, bool SaysWrongNumber, bool IsSilent)
{
    internal Turn RaisedTo(Tier tier, string reason) => this with { Tier = tier > Tier ? tier : Tier, Reasons = [.. Reasons, reason] };
}
