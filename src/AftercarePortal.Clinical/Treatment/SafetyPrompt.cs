namespace AftercarePortal.Clinical.Treatment;

/// <summary>One thing to think of before a placement, with where it stands. It reminds; it neither clears nor forbids.</summary>
/// <param name="Says">For a clinician, in plain words.</param>
/// <param name="Source">Where it stands, with its grade, or that it is from memory.</param>
/// <param name="OverLimit">Whether an amount goes beyond what a cited protocol used.</param>
public sealed record SafetyPrompt(string Says, string Source, bool OverLimit = false);
