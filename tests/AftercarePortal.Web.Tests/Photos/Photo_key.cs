using AftercarePortal.Web.Photos;
using Microsoft.Extensions.Configuration;
using Xunit;

namespace AftercarePortal.Web.Tests.Photos;

public sealed class Photo_key : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("aftercare-key-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void Is_the_configured_one() =>
        Assert.Equal(Enumerable.Repeat((byte)7, 32), Find(("Photos:Key", Convert.ToBase64String([.. Enumerable.Repeat((byte)7, 32)])))()[0]);

    [Theory]
    [InlineData("no base64!")]
    [InlineData("c2hvcnQ=")]
    public void Configured_wrongly_refuses_to_start(string key) => Assert.Throws<InvalidOperationException>(() => Find(("Photos:Key", key)));

    [Fact]
    public void Comes_first_and_the_ones_before_it_after_it()
    {
        string Of(byte one) => Convert.ToBase64String([.. Enumerable.Repeat(one, 32)]);
        Assert.Equal([7, 5, 6], Find(("Photos:Key", Of(7)), ("Photos:OldKeys", $"{Of(5)}, {Of(6)}"))().Select(k => (int)k[0]));
        Assert.Throws<InvalidOperationException>(() => Find(("Photos:Key", Of(7)), ("Photos:OldKeys", "short")));
    }

    [Theory]
    [InlineData("postgres")]
    [InlineData("sqlserver")]
    public void Must_be_configured_where_the_database_is_no_file(string kind) => Assert.Throws<InvalidOperationException>(() => Find(("Database:Kind", kind)));

    [Fact]
    public void Is_made_once_beside_a_SQLite_file_and_only_its_owner_reads_it()
    {
        var find = Find(("Database:Connection", $"Data Source={Path.Combine(_folder.FullName, "portal.db")}"));
        Assert.Empty(_folder.GetFiles());
        var key = find()[0];
        Assert.Equal(32, key.Length);
        Assert.Equal(key, find()[0]);
        var file = Assert.Single(_folder.GetFiles());
        if (!OperatingSystem.IsWindows()) Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, file.UnixFileMode);
    }

    [Fact]
    public void Cut_short_on_the_disk_is_refused()
    {
        var find = Find(("Database:Connection", $"Data Source={Path.Combine(_folder.FullName, "portal.db")}"));
        Assert.Single(find());
        File.WriteAllBytes(_folder.GetFiles().Single().FullName, new byte[31]);
        Assert.Throws<InvalidOperationException>(find);
    }

    private static Func<IReadOnlyList<byte[]>> Find(params (string Name, string Value)[] settings) =>
        PhotoKey.From(new ConfigurationBuilder().AddInMemoryCollection(settings.Select(s => KeyValuePair.Create<string, string?>(s.Name, s.Value))).Build());
}
