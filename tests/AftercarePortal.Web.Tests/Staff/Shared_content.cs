using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Web.Tests.Staff;

/// <summary>The portal's own content, read once for all tests: reading it takes longer than most of them.</summary>
internal static class Shared_content
{
    private static readonly Lazy<ContentLibrary> Read = new(() => ContentLibrary.Load(ContentLibrary.Folder));

    /// <summary>Never changed by a test; one that needs other content loads its own.</summary>
    public static ContentLibrary Library => Read.Value;
}
