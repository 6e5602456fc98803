using AftercarePortal.Testing;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.Features.Staff;
using Microsoft.Extensions.Configuration;
using Xunit;

namespace AftercarePortal.Web.Tests.Commands;

public sealed class Serving_the_portal
{
    [Theory]
    [InlineData("http://127.0.0.1:8080", false)]
    [InlineData("http://127.0.0.1:8080;http://localhost:8081", false)]
    [InlineData("http://0.0.0.0:8080", true)]
    [InlineData("http://127.0.0.1:8080;https://portal.example", true)]
    [InlineData(null, true)]
    public void Its_keys_need_a_home_as_soon_as_it_listens_to_the_world(string? urls, bool needed)
    {
        IConfiguration With(string? folder) => new ConfigurationBuilder().AddInMemoryCollection(new Dictionary<string, string?> { ["urls"] = urls, ["Keys:Folder"] = folder }).Build();
        Assert.Equal(needed, StaffFeature.KeysHaveNoHome(With(null)));
        Assert.False(StaffFeature.KeysHaveNoHome(With("somewhere")));
    }

    [Fact]
    public async Task It_does_not_start_for_the_world_when_its_keys_have_no_home() =>
        Assert.Equal(1, await Command.Run(["--urls=http://0.0.0.0:0", "--Jobs:Run=false", "--Database:Kind=sqlite", "--Database:Connection=Data Source=:memory:"]));

    [Theory]
    [InlineData("0")]
    [InlineData("16")]
    public async Task It_does_not_start_when_a_repeat_would_wait_for_the_carriers_list_until_its_job_is_another_workers(string seconds)
    {
        using var database = new SqliteTestDatabase();
        Assert.Equal(1, await Command.Run(["--urls=http://127.0.0.1:0", "--Jobs:Run=false", "--Database:Kind=sqlite", $"--Database:Connection={database.Connection}", $"--Carrier:ListSeconds={seconds}"]));
    }

    [Fact]
    public async Task It_does_not_start_without_its_tables()
    {
        var keys = Directory.CreateTempSubdirectory("aftercare-keys-");
        Assert.Equal(1, await Command.Run(["--urls=http://0.0.0.0:0", "--Jobs:Run=false", $"--Keys:Folder={keys.FullName}", "--Database:Kind=sqlite", "--Database:Connection=Data Source=:memory:"]));
        keys.Delete(recursive: true);
    }
}
