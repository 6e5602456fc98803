using AftercarePortal.Web.Tests.Messages;
using Xunit;

namespace AftercarePortal.Web.Tests.Operations;

/// <summary>Nothing waits to go out, and still an outside watchdog learns that the carrier is away.</summary>
public sealed class Health_of_the_carrier : IAsyncLifetime
{
    private readonly Listening_portal _portal = new();

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Theory]
    [InlineData(9, 200)]
    [InlineData(11, 503)]
    public async Task Is_bad_ten_minutes_after_its_list_was_last_read(int minutes, int expected)
    {
        await Round();
        await _portal.LoseCarrier();
        _portal.Time.Advance(TimeSpan.FromMinutes(minutes));
        await Round();
        Assert.Equal(expected, await _portal.Health());
    }

    [Fact]
    public async Task Is_good_while_its_list_is_read()
    {
        await Round();
        _portal.Time.Advance(TimeSpan.FromMinutes(11));
        await _portal.RunJobs();
        Assert.Equal(503, await _portal.Health());
        await Round();
        Assert.Equal(200, await _portal.Health());
    }

    private async Task Round()
    {
        await _portal.Sweep();
        await _portal.RunJobs();
    }
}
