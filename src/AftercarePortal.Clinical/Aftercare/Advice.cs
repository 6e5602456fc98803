namespace AftercarePortal.Clinical.Aftercare;

/// <summary>What a step asks of the patient on one topic.</summary>
/// <param name="Topic">For example <c>rubbing</c>.</param>
/// <param name="Avoid">True: leave it; false: do it.</param>
public sealed record Advice(string Topic, bool Avoid);
