namespace AftercarePortal.Web.Features.Patients;

/// <summary>Reads names as people type them.</summary>
internal static class PersonName
{
    /// <summary>Longest name, in UTF-16 units.</summary>
    public const int Longest = 200;

    /// <summary>The name without control characters and outer spaces, or null when nothing or too much is left.</summary>
    public static string? Read(string? typed)
    {
        var name = new string([.. (typed ?? "").Where(c => !char.IsControl(c))]).Trim();
        return name.Length is 0 or > Longest ? null : name;
    }
}
