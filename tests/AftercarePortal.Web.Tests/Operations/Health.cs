using System.Net;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Operations;

/// <summary>What an outside watchdog sees.</summary>
public sealed class Health : IAsyncLifetime
{
    private Portal_with_staff _portal = null!;
    private HttpClient _watchdog = null!;

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open();
        _watchdog = _portal.Browser();
    }

    public async Task DisposeAsync()
    {
        _watchdog.Dispose();
        await _portal.DisposeAsync();
    }

    [Fact]
    public async Task Is_bad_until_a_worker_went_round_and_good_then()
    {
        Assert.Equal(503, await Status());
        await GoRound();
        Assert.Equal(200, await Status());
    }

    [Fact]
    public async Task Is_bad_while_a_message_waits_that_came_to_a_number_no_clinic_has()
    {
        await GoRound();
        await using (var scope = _portal.Parts.CreateAsyncScope())
        {
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            db.Add(new MessageRow { ClinicId = Guid.Empty, CarrierId = "SM1", From = "+12125550150", To = "+12125550148", Text = "", MediaCount = 0, RawForm = "", ReceivedAt = _portal.Clock.GetCurrentInstant(), WrittenAt = _portal.Clock.GetCurrentInstant() });
            await db.SaveChangesAsync();
        }

        Assert.Equal(503, await Status());
    }

    [Fact]
    public async Task Is_bad_when_the_workers_fell_silent()
    {
        await GoRound();
        _portal.Clock.Advance(TimeSpan.FromSeconds(121));
        Assert.Equal(503, await Status());
    }

    [Fact]
    public async Task Is_bad_when_one_worker_fell_silent_behind_the_others()
    {
        await GoRound();
        await Beat("elsewhere:1", (0, 121), (1, 0));
        Assert.Equal(503, await Status());
        await Beat("elsewhere:1", (0, 0));
        Assert.Equal(200, await Status());
    }

    [Fact]
    public async Task Is_good_when_another_process_ended_and_this_one_works()
    {
        await GoRound();
        await Beat("elsewhere:1", (0, 125), (1, 115));
        Assert.Equal(200, await Status());
    }

    [Theory]
    [InlineData(0, 503)]
    [InlineData(1, 503)]
    [InlineData(9, 200)]
    public async Task Is_bad_when_a_page_a_reply_or_a_reading_is_late(int lane, int expected)
    {
        await GoRound();
        await Keep(lane, "some-kind", Now - Duration.FromSeconds(119));
        Assert.Equal(200, await Status());
        await Keep(lane, "some-kind", Now - Duration.FromSeconds(121));
        Assert.Equal(expected, await Status());
    }

    [Theory]
    [InlineData(nameof(OutgoingKind.PageText), 61, 503)]
    [InlineData(nameof(OutgoingKind.PageCall), 61, 503)]
    [InlineData(nameof(OutgoingKind.SafetyReply), 61, 503)]
    [InlineData(nameof(OutgoingKind.PageText), 59, 200)]
    [InlineData(nameof(OutgoingKind.Notice), 61, 200)]
    public async Task Is_bad_while_the_carrier_does_not_take_pages_or_replies(string kind, int seconds, int expected)
    {
        await GoRound();
        await using (var scope = _portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(Guid.NewGuid());
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            await db.QueueOnce("a", Enum.Parse<OutgoingKind>(kind), "+12025550100", "+12025550123", "words", Now - Duration.FromSeconds(seconds), default, sendAt: Now + Duration.FromSeconds(3));
            await db.SaveChangesAsync();
        }

        Assert.Equal(expected, await Status());
    }

    [Fact]
    public async Task Is_bad_when_an_alarm_was_given_up()
    {
        await GoRound();
        await Keep(0, JobRunner.JobParked, Now, parked: true);
        Assert.Equal(503, await Status());
    }

    [Theory]
    [InlineData(0, 503)]
    [InlineData(1, 503)]
    [InlineData(2, 503)]
    [InlineData(9, 200)]
    public async Task Is_bad_while_a_page_a_reply_or_a_reading_was_given_up(int lane, int expected)
    {
        await GoRound();
        await Keep(lane, "some-kind", Now, parked: true);
        Assert.Equal(expected, await Status());
    }

    [Fact]
    public async Task Is_bad_when_a_question_to_the_database_fails()
    {
        await GoRound();
        await using (var scope = _portal.Parts.CreateAsyncScope())
            await scope.ServiceProvider.GetRequiredService<PortalDb>().Database.ExecuteSqlRawAsync("DROP TABLE \"WorkerBeats\"");
        Assert.Equal(503, await Status());
    }

    [Fact]
    public async Task Tells_nothing_else()
    {
        using var answer = await _watchdog.GetAsync(new Uri("/health", UriKind.Relative));
        Assert.Equal("", await answer.Content.ReadAsStringAsync());
    }

    private Instant Now => _portal.Clock.GetCurrentInstant();

    private Task GoRound() => _portal.Parts.GetRequiredService<JobRunner>().RunDue();

    private async Task Beat(string node, params (int Worker, int SecondsAgo)[] beats)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        foreach (var (worker, ago) in beats)
        {
            await db.WorkerBeats.Where(b => b.Node == node && b.Worker == worker).ExecuteDeleteAsync();
            db.Add(new WorkerBeatRow { Node = node, Worker = worker, At = Now - Duration.FromSeconds(ago) });
        }

        await db.SaveChangesAsync();
    }

    private async Task<int> Status()
    {
        using var answer = await _watchdog.GetAsync(new Uri("/health", UriKind.Relative));
        return (int)answer.StatusCode;
    }

    private async Task Keep(int lane, string kind, Instant dueAt, bool parked = false)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        db.Add(new JobRow { ClinicId = Guid.NewGuid(), Kind = kind, Subject = "1", DueAt = dueAt, Lane = lane, ParkedAt = parked ? dueAt : null });
        await db.SaveChangesAsync();
    }
}
