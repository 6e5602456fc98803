namespace AftercarePortal.Web.ContentFiles;

/// <summary>One fault in a content file, with its place.</summary>
/// <param name="File">File as given.</param>
/// <param name="Line">1-based.</param>
/// <param name="Column">1-based.</param>
/// <param name="Path">JSON pointer inside the file, for example <c>/rules/3/when</c>.</param>
/// <param name="Reason">What is wrong, in plain words.</param>
internal sealed record ContentError(string File, int Line, int Column, string Path, string Reason)
{
    public override string ToString() => $"{File}:{Line}:{Column}: {Path}: {Reason}";
}
