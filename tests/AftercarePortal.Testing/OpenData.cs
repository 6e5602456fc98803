namespace AftercarePortal.Testing;

/// <summary>Other people's data that checks are made against. It is never part of the repository.</summary>
public static class OpenData
{
    /// <summary>The folder: environment variable <c>AFTERCARE_OPEN_DATA</c>, else <c>../shared/data</c> beside the repository.</summary>
    public static string Folder { get; } = Environment.GetEnvironmentVariable("AFTERCARE_OPEN_DATA") ?? Path.Combine(Top(), "..", "shared", "data");

    private static string Top()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "AftercarePortal.sln"))) folder = folder.Parent;
        return folder?.FullName ?? Environment.CurrentDirectory;
    }
}
