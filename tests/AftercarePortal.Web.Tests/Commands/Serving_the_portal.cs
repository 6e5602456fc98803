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

    [Theory]
    [InlineData("http://127.0.0.1:8080", true, null, null, true)]
    [InlineData("http://0.0.0.0:8080", true, null, null, true)]
    [InlineData("http://127.0.0.1:8080", true, "127.0.0.1", null, false)]
    [InlineData("http://127.0.0.1:8080", true, null, "true", false)]
    [InlineData("http://127.0.0.1:8080", false, null, null, false)]
    [InlineData("http://0.0.0.0:8080", false, null, null, true)]
    [InlineData("https://0.0.0.0:443;http://0.0.0.0:80", true, null, null, false)]
    [InlineData(null, true, null, null, false)]
    public void Its_proxy_is_to_be_named_where_https_ends_before_it(string? urls, bool https, string? known, string? believesAll, bool missing) =>
        Assert.Equal(missing, Web.Features.Shared.Proxies.AreMissing(new ConfigurationBuilder().AddInMemoryCollection(new Dictionary<string, string?>
        {
            ["urls"] = urls, ["Staff:Https"] = https ? "true" : null, ["Proxies:Known"] = known, ["FORWARDEDHEADERS_ENABLED"] = believesAll,
        }).Build()));

    [Fact]
    public async Task It_does_not_start_for_the_world_with_the_photos_key_beside_the_photos()
    {
        using var database = new SqliteTestDatabase();
        var keys = Directory.CreateTempSubdirectory("aftercare-keys-");
        var said = Console.Error;
        using var errors = new StringWriter();
        Console.SetError(errors);
        try
        {
            Assert.Equal(1, await Command.Run(["--urls=http://0.0.0.0:0", "--Jobs:Run=false", $"--Keys:Folder={keys.FullName}", "--Database:Kind=sqlite", $"--Database:Connection={database.Connection}"]));
        }
        finally
        {
            Console.SetError(said);
            keys.Delete(recursive: true);
        }

        Assert.Contains("Photos:Key is not set", errors.ToString());
    }

    [Fact]
    public async Task It_does_not_start_behind_a_proxy_nobody_named()
    {
        using var database = new SqliteTestDatabase();
        var keys = Directory.CreateTempSubdirectory("aftercare-keys-");
        Assert.Equal(1, await Command.Run(["--urls=http://127.0.0.1:0", "--Staff:Https=true", "--Photos:Key=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=", "--Jobs:Run=false", $"--Keys:Folder={keys.FullName}", "--Database:Kind=sqlite", $"--Database:Connection={database.Connection}"]));
        keys.Delete(recursive: true);
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

    [Theory]
    [InlineData("")]
    [InlineData("portal.example")]
    public async Task It_does_not_start_with_a_carrier_and_no_address_that_the_links_in_pages_could_begin_with(string address)
    {
        using var database = new SqliteTestDatabase();
        using var said = new StringWriter();
        var (error, code) = (Console.Error, 0);
        Console.SetError(said);
        try
        {
            code = await Command.Run(["--urls=http://127.0.0.1:0", "--Jobs:Run=false", "--Database:Kind=sqlite", $"--Database:Connection={database.Connection}", "--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", $"--Carrier:PublicUrl={address}"]);
        }
        finally
        {
            Console.SetError(error);
        }

        Assert.Equal(1, code);
        Assert.Contains("Carrier:PublicUrl must be the portal's whole address", said.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task It_does_not_start_without_its_tables()
    {
        var keys = Directory.CreateTempSubdirectory("aftercare-keys-");
        Assert.Equal(1, await Command.Run(["--urls=http://0.0.0.0:0", "--Photos:Key=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=", "--Jobs:Run=false", $"--Keys:Folder={keys.FullName}", "--Database:Kind=sqlite", "--Database:Connection=Data Source=:memory:"]));
        keys.Delete(recursive: true);
    }
}
