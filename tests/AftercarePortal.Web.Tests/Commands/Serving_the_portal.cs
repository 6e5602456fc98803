using AftercarePortal.Web.Commands;
using Xunit;

namespace AftercarePortal.Web.Tests.Commands;

public sealed class Serving_the_portal
{
    [Fact]
    public async Task It_does_not_start_for_the_world_when_its_keys_have_no_home() =>
        Assert.Equal(1, await Command.Run(["--urls=http://0.0.0.0:0", "--Jobs:Run=false", "--Database:Kind=sqlite", "--Database:Connection=Data Source=:memory:"]));

    [Fact]
    public async Task It_does_not_start_without_its_tables()
    {
        var keys = Directory.CreateTempSubdirectory("aftercare-keys-");
        Assert.Equal(1, await Command.Run(["--urls=http://0.0.0.0:0", "--Jobs:Run=false", $"--Keys:Folder={keys.FullName}", "--Database:Kind=sqlite", "--Database:Connection=Data Source=:memory:"]));
        keys.Delete(recursive: true);
    }
}
