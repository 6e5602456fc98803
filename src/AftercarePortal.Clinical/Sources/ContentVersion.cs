namespace AftercarePortal.Clinical.Sources;

/// <summary>Which version of which content file decided something.</summary>
/// <param name="Id">The file's id, for example <c>lower-face</c>.</param>
/// <param name="Number">Version, 1 or more.</param>
public readonly record struct ContentVersion(string Id, int Number)
{
    /// <summary>For example <c>lower-face.v1</c>.</summary>
    public override string ToString() => $"{Id}.v{Number}";
}
