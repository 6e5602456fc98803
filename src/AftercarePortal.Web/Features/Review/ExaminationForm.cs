using System.Globalization;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What was found, as typed. Empty means not judged, never none.</summary>
internal sealed class ExaminationForm
{
    /// <summary>The model's levels by name, mildest first.</summary>
    public static readonly string[] Laxities = ["none", "mild", "moderate", "marked"], Bones = ["full support", "reduced", "marked loss"], Sides = ["small", "clear", "strong"], Resistances = ["none", "some", "much"];

    /// <summary>Degrees a gonial angle can have: a guard against a slip of the pen (judgement, no source).</summary>
    private const decimal Least = 80, Most = 170;

    /// <summary>One of <see cref="Laxities"/>.</summary>
    public string? Laxity { get; set; }
    /// <summary>One of <see cref="Bones"/>.</summary>
    public string? Bone { get; set; }
    /// <summary>One of <see cref="Sides"/>.</summary>
    public string? SideDifference { get; set; }
    /// <summary>Gonial angle of the patient's left, degrees, 80 to 170; point or comma.</summary>
    public string? LeftAngle { get; set; }
    /// <summary>Gonial angle of the patient's right, degrees, 80 to 170; point or comma.</summary>
    public string? RightAngle { get; set; }
    /// <summary><c>there</c> or <c>none</c>.</summary>
    public string? EarlierProduct { get; set; }
    /// <summary>One of <see cref="Resistances"/>.</summary>
    public string? Resistance { get; set; }
    /// <summary>Who is to treat, by the name records are signed with; null or empty: not settled.</summary>
    public string? Injector { get; set; }

    /// <summary>Reads it into a row; every fault in words when it cannot be.</summary>
    /// <param name="staff">Names of those who may treat.</param>
    /// <param name="before">The examination that counted so far, or null: who is to treat may be named or changed before anything was found.</param>
    public IReadOnlyList<string> ReadInto(ExaminationRow row, IReadOnlyCollection<string> staff, ExaminationRow? before)
    {
        var faults = new List<string>();
        row.Injector = string.IsNullOrEmpty(Injector) ? null : Injector;
        if (row.Injector is { } who && !staff.Contains(who)) faults.Add("Choose who is to treat from those who work here, or leave it open.");
        (row.Laxity, row.Bone, row.SideDifference, row.Resistance) = (Level(Laxity, Laxities), Level(Bone, Bones), Level(SideDifference, Sides), Level(Resistance, Resistances));
        row.EarlierProduct = EarlierProduct switch { "there" => true, "none" => false, _ => null };
        row.LeftTenths = Angle(LeftAngle, "left", faults);
        row.RightTenths = Angle(RightAngle, "right", faults);
        if (faults.Count == 0 && !row.HasFindings && (before is { HasFindings: true } || row.Injector == before?.Injector)) faults.Add("Nothing was judged yet: choose at least one finding, give both angles, or name who is to treat.");
        return faults;
    }

    /// <summary>A kept examination as it would be typed.</summary>
    public static ExaminationForm Of(ExaminationRow row) => new()
    {
        Laxity = Name(row.Laxity, Laxities), Bone = Name(row.Bone, Bones), SideDifference = Name(row.SideDifference, Sides), Resistance = Name(row.Resistance, Resistances), Injector = row.Injector,
        EarlierProduct = row.EarlierProduct switch { true => "there", false => "none", _ => null }, LeftAngle = Said(row.LeftTenths), RightAngle = Said(row.RightTenths),
    };

    /// <summary>Tenths of a degree as typed, for example <c>121.5</c>; null: not measured.</summary>
    public static string? Said(int? tenths) => tenths is { } t ? (t / 10m).ToString("0.0", CultureInfo.InvariantCulture) : null;

    private static string? Name(int? level, string[] names) => level is { } l ? names[l] : null;

    private static int? Level(string? name, string[] names) => Array.IndexOf(names, name) is >= 0 and var level ? level : null;

    private static int? Angle(string? typed, string side, List<string> faults)
    {
        if (string.IsNullOrWhiteSpace(typed)) return null;
        if (decimal.TryParse(typed.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var degrees) && degrees is >= Least and <= Most) return (int)Math.Round(degrees * 10);
        faults.Add($"Gonial angle, {side}: give {Least} to {Most} degrees, or leave it empty.");
        return null;
    }
}
