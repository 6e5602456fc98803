using AftercarePortal.Web.Features.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>Through the loopback carrier: what it is handed, and when.</summary>
public sealed class Sender_pace : IAsyncLifetime
{
    private readonly Listening_portal _portal = new();

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Two_hundred_steps_reach_the_carrier_at_the_numbers_rate_and_a_safety_reply_is_not_held()
    {
        await _portal.Read(async db =>
        {
            for (var i = 0; i < 200; i++) await db.QueueOnce($"step {i}", OutgoingKind.Step, Listening_portal.Patients, "+12025550124", $"step {i}", _portal.Time.GetCurrentInstant(), default);
            return await db.SaveChangesAsync();
        });
        await _portal.RunJobs();
        Assert.Equal(SenderPace.Burst, Steps);

        await _portal.Deliver("SM1", "my skin has gone white and cold where you injected and it is getting worse");
        await _portal.RunJobs();
        Assert.Contains(_portal.Carrier.Lines, l => l.To == Listening_portal.Patient && l.Text.Contains("911"));
        Assert.Equal(SenderPace.Burst, Steps);                                   // behind 20 at the carrier, not behind 200

        for (var second = 1; second <= 40; second++)
        {
            _portal.Time.Advance(TimeSpan.FromSeconds(1));
            await _portal.RunJobs();
            Assert.InRange(Steps, SenderPace.Burst + second - 1, SenderPace.Burst + second);
        }

        Assert.InRange(Steps, 59, 60);
        Assert.Equal(Steps, _portal.Carrier.Lines.Where(l => l.To == "+12025550124").Select(l => l.Text).Distinct().Count());
    }

    private int Steps => _portal.Carrier.Lines.Count(l => l.To == "+12025550124");
}
