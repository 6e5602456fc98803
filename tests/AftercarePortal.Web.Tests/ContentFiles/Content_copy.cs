using System.Text.RegularExpressions;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Web.Tests.ContentFiles;

/// <summary>A copy of the content that a test may spoil, add to and throw away.</summary>
internal sealed class Content_copy : IDisposable
{
    public Content_copy()
    {
        foreach (var file in Directory.GetFiles(ContentLibrary.Folder, "*", SearchOption.AllDirectories))
        {
            var copy = At(Path.GetRelativePath(ContentLibrary.Folder, file));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            File.Copy(file, copy);
        }
    }

    public string Folder { get; } = Directory.CreateTempSubdirectory("aftercare-content-").FullName;

    public string At(string file) => Path.Combine(Folder, file);

    /// <summary>Replaces the first place of some words in a file, which must be there.</summary>
    public void Change(string file, string right, string other)
    {
        var text = File.ReadAllText(At(file));
        if (!text.Contains(right, StringComparison.Ordinal)) throw new InvalidOperationException($"{file} does not hold: {right}");
        File.WriteAllText(At(file), new Regex(Regex.Escape(right)).Replace(text, other.Replace("$", "$$", StringComparison.Ordinal), 1));
    }

    /// <summary>Copies a file and changes words of the copy.</summary>
    public void Next(string file, string copy, params (string Right, string Other)[] changes)
    {
        File.Copy(At(file), At(copy));
        foreach (var (right, other) in changes) Change(copy, right, other);
    }

    public (int Code, string Said, string Faults) Check()
    {
        using StringWriter output = new(), error = new();
        return (Command.CheckContent(Folder, output, error), output.ToString(), error.ToString());
    }

    public void Dispose() => Directory.Delete(Folder, recursive: true);
}
