using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Operations;

public sealed class Given_up_job : IAsyncLifetime
{
    private const string First = "+12025550110", OffDuty = "+12025550112";
    private readonly Listening_portal _portal = new();

    public async Task InitializeAsync()
    {
        await _portal.InitializeAsync();
        var now = _portal.Time.GetCurrentInstant();
        await _portal.Read(async db =>
        {
            db.Add(new ShiftRow { Person = "Iris Hale", Number = First, Order = 1, From = now - Duration.FromDays(1), To = now + Duration.FromDays(9) });
            db.Add(new ShiftRow { Person = "Tomas Reed", Number = OffDuty, Order = 1, From = now - Duration.FromDays(9), To = now - Duration.FromDays(8) });
            return await db.SaveChangesAsync();
        });
    }

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Of_an_everyday_lane_pages_whoever_is_on_call_once_by_text()
    {
        await GiveUp(lane: 9);
        var page = Assert.Single(await Alarms());
        Assert.Equal((First, OutgoingKind.PageText), (page.To, page.Kind));
        Assert.EndsWith("/Operations", page.Text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    public async Task Of_pages_replies_or_reading_pages_everyone_by_text_and_voice(int lane)
    {
        await GiveUp(lane);
        Assert.Equal(
            [(First, OutgoingKind.PageCall), (First, OutgoingKind.PageText), (OffDuty, OutgoingKind.PageCall), (OffDuty, OutgoingKind.PageText)],
            (await Alarms()).Select(o => (o.To, o.Kind)).OrderBy(o => o.To).ThenBy(o => o.Kind.ToString()));
    }

    [Fact]
    public async Task In_a_gap_of_the_rota_pages_everyone()
    {
        _portal.Time.Advance(TimeSpan.FromDays(10));
        await GiveUp(lane: 9);
        Assert.Equal([First, OffDuty], (await Alarms()).Select(o => o.To).Order());
    }

    [Fact]
    public async Task That_was_to_send_such_a_page_pages_nobody_again()
    {
        await GiveUp(lane: 9);
        var page = Assert.Single(await Alarms());
        await _portal.Read(async db =>
        {
            db.Add(new JobRow { ClinicId = Listening_portal.Clinic, Kind = MessageJobs.Send, Subject = page.Id.ToString(), DueAt = page.MadeAt, Lane = 0, Attempts = JobRunner.MostAttempts });
            return await db.SaveChangesAsync();
        });
        await _portal.RunJobs();
        Assert.Single(await Alarms());
        Assert.Equal(2, await _portal.Read(db => db.Jobs.CountAsync(j => j.Kind == JobRunner.JobParked && j.DoneAt != null)));
    }

    [Theory]
    [InlineData(9, 1)]
    [InlineData(1, 4)]
    public async Task Beside_many_others_of_its_kind_pages_no_more_than_twice(int lane, int each)
    {
        await _portal.Read(async db =>
        {
            foreach (var n in Enumerable.Range(1, 40)) db.Add(new JobRow { ClinicId = Listening_portal.Clinic, Kind = "nobody-does-this", Subject = $"{n}", DueAt = _portal.Time.GetCurrentInstant(), Lane = lane, Attempts = JobRunner.MostAttempts - 1 });
            return await db.SaveChangesAsync();
        });
        await _portal.RunJobs();
        Assert.Equal(40, await _portal.Read(db => db.Jobs.CountAsync(j => j.Kind == "nobody-does-this" && j.ParkedAt != null)));
        Assert.Equal(each, (await Alarms()).Count);
        for (var i = 0; i < 8; i++)
        {
            _portal.Time.Advance(TimeSpan.FromMinutes(5));
            await _portal.RunJobs();
        }

        Assert.Equal(2 * each, (await Alarms()).Count);
    }

    [Fact]
    public async Task After_another_was_tried_again_in_the_same_half_hour_is_told_of_too()
    {
        Task Park() => _portal.Read(async db =>
        {
            db.Add(new JobRow { ClinicId = Listening_portal.Clinic, Kind = "nobody-does-this", Subject = "1", DueAt = _portal.Time.GetCurrentInstant(), Lane = 9, Attempts = JobRunner.MostAttempts - 1 });
            return await db.SaveChangesAsync();
        });
        await Park();
        await _portal.RunJobs();
        await _portal.Read(db => db.Jobs.Where(j => j.Kind == "nobody-does-this").ExecuteUpdateAsync(set => set.SetProperty(j => j.DoneAt, _portal.Time.GetCurrentInstant())));
        _portal.Time.Advance(TimeSpan.FromMinutes(4));
        await Park();
        await _portal.RunJobs();
        _portal.Time.Advance(TimeSpan.FromMinutes(31));
        await _portal.RunJobs();
        Assert.Equal(2, (await Alarms()).Count);
    }

    // No handler has this name, so it fails every time.
    private async Task GiveUp(int lane)
    {
        await _portal.Read(async db =>
        {
            db.Enqueue("nobody-does-this", "1", _portal.Time.GetCurrentInstant(), lane);
            return await db.SaveChangesAsync();
        });
        for (var i = 0; i < JobRunner.MostAttempts + 1; i++)
        {
            await _portal.RunJobs();
            _portal.Time.Advance(TimeSpan.FromMinutes(10));
        }
    }

    private Task<List<OutgoingRow>> Alarms() => _portal.Read(db => db.Outgoing.Where(o => o.Key.StartsWith("alarm:")).ToListAsync());
}
