namespace AftercarePortal.Web.Access;

/// <summary>Pages that are handed to a patient on the clinic's device (<see cref="Who.Patient"/>). The staff's page behind one stands one step up its path.</summary>
internal static class PatientScreen
{
    private static readonly string[][] Pages = [.. Access.Table.Where(line => line.Value is Who.Patient).Select(line => line.Key.Split('/'))];

    /// <summary>True for the path of a page that may be handed over: letter for letter, without a question mark or anything behind one.</summary>
    public static bool Is(string? path) =>
        path is { Length: > 1 and <= 200 } && path[0] == '/' && path[1..].Split('/') is var parts && Pages.Any(page => page.Length == parts.Length && page.Zip(parts).All(p => Fits(p.First, p.Second)));

    /// <summary>Where the staff go on from there.</summary>
    public static string StaffPageBehind(string screen) => screen[..screen.LastIndexOf('/')];

    // Ids of ours have one form; names of documents and languages are plain letters.
    private static bool Fits(string part, string typed) =>
        part[0] != '{' ? string.Equals(part, typed, StringComparison.OrdinalIgnoreCase)
        : part.EndsWith(":guid}", StringComparison.Ordinal) ? Guid.TryParseExact(typed, "D", out _)
        : !part.Contains(':', StringComparison.Ordinal) && typed.Length > 0 && typed.All(c => char.IsAsciiLetterOrDigit(c) || c == '-');
}
