namespace AftercarePortal.Clinical.Anatomy;

/// <summary>One published figure beside a measure: quoted, never a target.</summary>
/// <param name="Measure">What it is about.</param>
/// <param name="Says">The figure with spread, by sex where the source gives it.</param>
/// <param name="Source">Where it stands, with its grade, or that it is from memory.</param>
public sealed record JawNorm(ProfileMeasure Measure, string Says, string Source);

/// <summary>Published figures of the clinical evidence pack, section 6b. Most are of bone on radiographs: a photo's proxy does not compare with them one to one.</summary>
public static class JawNorms
{
    /// <summary>All of them, as the evidence pack marks them.</summary>
    public static IReadOnlyList<JawNorm> All { get; } =
    [
        new(ProfileMeasure.GonialAngle, "100 to 148 degrees over all groups; mean of females 3 to 5 degrees above males.", "S65, seen, grade B"),
        new(ProfileMeasure.GonialAngle, "105 people: females 121.4, males 120.1 degrees; no standard deviation in the text read.", "S66, seen, grade B"),
        new(ProfileMeasure.GonialAngle, "About 128 to 130, plus or minus 6 to 7 degrees, on cephalograms.", "from memory, unchecked, grade C"),
        new(ProfileMeasure.GonialAngle, "Females about 120, 120 to 140 accepted: the trade's rule of thumb.", "common practice, no source; not an ideal"),
        new(ProfileMeasure.CervicomentalAngle, "105 to 120 degrees was called a criterion of a youthful neck.", "from memory, unchecked, grade C; a series of 267 women found no link with age (S93, seen, grade B)"),
        new(ProfileMeasure.RamusLength, "Males about 60 to 65, females about 53 to 58 mm, of bone.", "from memory, low confidence"),
        new(ProfileMeasure.BodyLength, "Males about 72 to 80, females about 68 to 75 mm, of bone.", "from memory, low confidence"),
    ];
}
