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

    /// <summary>Names for a list: where several people of it have one name, each with the last digits of the number, for example <c>Ann Lee (number ends 0123)</c>.</summary>
    /// <param name="number">E.164.</param>
    public static IEnumerable<(T Person, string Name)> Apart<T>(IReadOnlyList<T> people, Func<T, string> name, Func<T, string> number)
    {
        var twice = people.GroupBy(name, StringComparer.CurrentCultureIgnoreCase).Where(g => g.Count() > 1).Select(g => g.Key).ToHashSet(StringComparer.CurrentCultureIgnoreCase);
        return people.Select(p => (p, twice.Contains(name(p)) && number(p) is { Length: >= 4 } digits ? $"{name(p)} (number ends {digits[^4..]})" : name(p)));
    }
}
