using Microsoft.AspNetCore.Routing.Template;

namespace AftercarePortal.Web.Access;

/// <summary>Pages that are handed to a patient on the clinic's device (<see cref="Who.Patient"/>). The staff's page behind one stands one step up its path.</summary>
internal static class PatientScreen
{
    private static readonly TemplateMatcher[] Pages =
        [.. Access.Table.Where(line => line.Value is Who.Patient).Select(line => new TemplateMatcher(TemplateParser.Parse(line.Key), []))];

    /// <summary>True for the path of a page that may be handed over.</summary>
    public static bool Is(string? path) => path is { Length: > 1 and <= 200 } && path[0] == '/' && Pages.Any(page => page.TryMatch(path, []));

    /// <summary>Where the staff go on from there.</summary>
    public static string StaffPageBehind(string screen) => screen[..screen.LastIndexOf('/')];
}
