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
        var doc = ContentDocument.Load(Path.Combine(Root, "content", "triage", "lower-face.v1.yaml"), errors);
        var lexicon = doc is null ? null : TriageReader.Read(doc, errors);
        return lexicon ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    private static string FindRoot()
    {
        var at = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(at, "AftercarePortal.sln"))) at = Path.GetDirectoryName(at) ?? throw new InvalidOperationException("No solution above the tests.");
        return at;
    }
}
