using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Clinical.Tests.Triage;

internal static class TriageContent
{
    internal static string Root { get; } = FindRoot();

    internal static TriageLexicon Lexicon { get; } = Load();

    private static TriageLexicon Load()
    {
        var errors = new List<ContentError>();
        return TriageReader.Load(Path.Combine(Root, "content"), errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    private static string FindRoot()
    {
        var at = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(at, "AftercarePortal.sln"))) at = Path.GetDirectoryName(at) ?? throw new InvalidOperationException("No solution above the tests.");
        return at;
    }
}
