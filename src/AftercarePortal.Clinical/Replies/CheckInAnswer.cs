namespace AftercarePortal.Clinical.Replies;

/// <summary>One check-in answer: either a pain from 0 (none) to 10, or a letter.</summary>
/// <param name="Pain">0..10, or null.</param>
/// <param name="Letter">A small letter, or null.</param>
public sealed record CheckInAnswer(int? Pain, char? Letter);
