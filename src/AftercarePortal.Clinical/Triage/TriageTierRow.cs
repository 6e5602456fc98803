namespace AftercarePortal.Clinical.Triage;

/// <summary>The tier of a concept on some days after some products.</summary>
/// <param name="FromDay">First day after treatment, 0 or more.</param>
/// <param name="ToDay">Last day, inclusive.</param>
/// <param name="Filler">True: CaHA, HA, PLLA, PRP only. False: toxin only. Null: any product.</param>
/// <param name="Tier">How soon a person must look.</param>
public sealed record TriageTierRow(int FromDay, int ToDay, bool? Filler, Tier Tier);
