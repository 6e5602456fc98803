using System.Reflection;
using NetArchTest.Rules;

namespace AftercarePortal.Web.Tests.House;

/// <summary>One folder and the namespaces it must never know.</summary>
public sealed record Arrow(string From, params string[] Never)
{
    private const string Web = "AftercarePortal.Web.";
    private static readonly string[] Adapters = ["Access", "Carrier", "ContentFiles", "Documents", "Jobs", "Photos"];
    private static readonly string[] Features =
        ["Staff", "Settings", "Patients", "Messages", "Rota", "Intake", "Review", "Consent", "Treatment", "Escalations", "Aftercare", "Outcomes", "Operations"];

    /// <summary>The arrows of the house that start inside the web project.</summary>
    public static IReadOnlyList<Arrow> All { get; } =
    [
        new(Web + "Data", [Web + "Features", Web + "Commands", .. Adapters.Select(a => Web + a)]),
        .. Adapters.Select(a => new Arrow(Web + a, [Web + "Features", Web + "Commands"])),
        .. Features.SkipLast(1).Select((f, i) => new Arrow($"{Web}Features.{f}", [Web + "Commands", .. Features.Skip(i + 1).Select(lower => $"{Web}Features.{lower}")])),
    ];

    /// <summary>Full names of the types of an assembly that break this arrow.</summary>
    public IReadOnlyList<string> BrokenIn(Assembly assembly) => BrokenIn(assembly, From);

    /// <summary>The same, as if <paramref name="from"/> were the folder.</summary>
    public IReadOnlyList<string> BrokenIn(Assembly assembly, string from) =>
        [.. Types.InAssembly(assembly).That().ResideInNamespace(from).ShouldNot().HaveDependencyOnAny(Never).GetResult().FailingTypes.Select(t => t.FullName)];

    /// <inheritdoc />
    public override string ToString() => From;
}
