using AftercarePortal.Web.Commands;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Web.Tests.Commands;

public sealed class Comparing_two_lexicons : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("aftercare-compare-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void The_same_content_reads_the_same()
    {
        var (code, output, error) = Run(ContentLibrary.Folder, "{\"id\":\"a\",\"day\":1,\"product\":\"HA filler\",\"text\":\"my lip has gone white\"}");
        Assert.Equal((0, ""), (code, output));
        Assert.Contains("1 texts read", error, StringComparison.Ordinal);
        Assert.Contains("0 read higher now, 0 lower", error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_text_that_read_higher_before_is_named_and_answers_1()
    {
        var before = WithAnotherWord("cough");
        var (code, output, _) = Run(before, "{\"id\":\"a\",\"day\":9,\"product\":\"HA filler\",\"text\":\"my cough is back today\"}");
        Assert.Equal(1, code);
        Assert.Contains("\"id\":\"a\"", output, StringComparison.Ordinal);
        Assert.Contains("anaphylaxis-airway", output, StringComparison.Ordinal);
    }

    [Fact]
    public void Neither_folder_nor_file_need_be_there()
    {
        Assert.Equal(2, Run(Path.Combine(_folder.FullName, "nowhere"), "{}").Code);
        Assert.Equal(2, ReadCommand.Run(["compare", ContentLibrary.Folder, Path.Combine(_folder.FullName, "nothing")], TextReader.Null, TextWriter.Null, TextWriter.Null, ContentLibrary.Folder));
    }

    // A lexicon that also took this word for breathlessness.
    private string WithAnotherWord(string word)
    {
        var copy = Path.Combine(_folder.FullName, "content");
        foreach (var file in Directory.EnumerateFiles(ContentLibrary.Folder, "*", SearchOption.AllDirectories))
        {
            var to = Path.Combine(copy, Path.GetRelativePath(ContentLibrary.Folder, file));
            Directory.CreateDirectory(Path.GetDirectoryName(to)!);
            File.Copy(file, to);
        }

        var lexicon = Path.Combine(copy, "triage", "lower-face.v1.yaml");
        var text = File.ReadAllText(lexicon);
        var at = text.IndexOf("cant_take_a_deep_breath", StringComparison.Ordinal);
        Assert.True(at > 0);
        File.WriteAllText(lexicon, text.Insert(at, word + " "));
        return copy;
    }

    private (int Code, string Output, string Error) Run(string before, string line)
    {
        var texts = Path.Combine(_folder.FullName, "texts.jsonl");
        File.WriteAllText(texts, line + "\n");
        using StringWriter output = new(), error = new();
        return (ReadCommand.Run(["compare", before, texts], TextReader.Null, output, error, ContentLibrary.Folder), output.ToString(), error.ToString());
    }
}
