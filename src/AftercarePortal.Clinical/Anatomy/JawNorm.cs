namespace AftercarePortal.Clinical.Anatomy;

/// <summary>One published figure beside a measure: quoted, never a target. Most are of bone on radiographs: a photo's proxy does not compare with them one to one.</summary>
/// <param name="Measure">Written name of the measure, for example <c>gonial angle</c>.</param>
/// <param name="Says">The figure with spread, by sex where the source gives it.</param>
/// <param name="Source">Where it stands, with its grade, or that it is from memory.</param>
public sealed record JawNorm(string Measure, string Says, string Source);
