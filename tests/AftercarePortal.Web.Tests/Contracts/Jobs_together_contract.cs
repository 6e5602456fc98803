using System.Collections.Concurrent;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>What the queue promises, on every database, of everyday jobs that are done several at once.</summary>
public abstract class Jobs_together_contract : IDisposable
{
    private static readonly Guid Clinic = Guid.CreateVersion7(), Another = Guid.CreateVersion7();
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 10, 9, 0, 0, TimeSpan.Zero));
    private readonly ITestDatabase _database;
    private readonly ConcurrentQueue<string> _together = new(), _alone = new();

    private protected Jobs_together_contract(ITestDatabase database) => _database = database;

    private Instant Now => _time.GetCurrentInstant();

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task Due_everyday_jobs_of_one_kind_and_clinic_are_done_as_many_at_once_as_the_handler_takes()
    {
        await Enqueue(Enumerable.Range(0, 7).Select(n => $"{n}"));
        await Enqueue(["another clinic"], clinic: Another);
        await Enqueue(["of lane 5"], lane: 5);
        await Enqueue(["later"], due: Now + Duration.FromSeconds(1));
        Assert.Equal(9, await Runner(All).RunDue());
        Assert.Equal(["0 1 2 3 4", "5 6"], _together);
        Assert.Equal(["of lane 5", "another clinic"], _alone);
        Assert.Equal("later", Assert.Single(await Open()).Subject);
    }

    [Fact]
    public async Task Two_runners_at_the_same_time_do_every_job_once()
    {
        var subjects = Enumerable.Range(0, 60).Select(n => $"{n}").ToList();
        await Enqueue(subjects);
        var counts = await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => Task.Run(() => Runner(All).RunDue())));
        Assert.Equal(60, counts.Sum());
        Assert.Equal(subjects.Order(), _together.SelectMany(t => t.Split(' ')).Concat(_alone).Order());
        Assert.Empty(await Open());
    }

    [Fact]
    public async Task What_is_left_undone_is_done_alone()
    {
        await Enqueue(["a", "b", "c"]);
        await Runner((subjects, _) => Note(subjects, done: subjects.Where(s => s == "b"))).RunDue();
        Assert.Equal(["a b c"], _together);
        Assert.Equal(["a", "c"], _alone);
        Assert.Empty(await Open());
    }

    [Fact]
    public async Task When_they_fail_together_each_is_tried_alone_and_a_fault_of_one_is_its_own()
    {
        await Enqueue(["a", "b", "c"]);
        var runner = Runner((_, _) => throw new TimeoutException("words of a patient"), (subject, _) => subject == "b" ? throw new InvalidOperationException() : Task.CompletedTask);
        await runner.RunDue();
        Assert.All(await Open(), job => Assert.Equal((1, "TimeoutException", Now + Duration.FromSeconds(2)), (job.Attempts, job.LastFailure, job.DueAt)));
        _time.Advance(TimeSpan.FromSeconds(2));
        await runner.RunDue();
        Assert.Equal(["a", "b", "c"], _alone);
        Assert.Equal(("b", 2, "InvalidOperationException"), Assert.Single((await Open()).Select(j => (j.Subject, j.Attempts, j.LastFailure))));
    }

    [Fact]
    public async Task Jobs_whose_worker_died_come_back_after_the_lease_and_are_done_alone()
    {
        await Enqueue(["a", "b"]);
        using var death = new CancellationTokenSource();
        var dying = Runner((_, stop) =>
        {
            death.Cancel();
            throw new OperationCanceledException(stop);
        });
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => dying.RunDue(death.Token));
        Assert.Equal(0, await Runner(All).RunDue());
        _time.Advance(TimeSpan.FromSeconds(31));
        Assert.Equal(2, await Runner(All).RunDue());
        Assert.Equal((0, "a b"), (_together.Count, string.Join(' ', _alone)));
    }

    [Theory]
    [InlineData("done")]
    [InlineData("left")]
    [InlineData("failed")]
    public async Task A_worker_that_lost_its_leases_changes_nothing(string ending)
    {
        await Enqueue(["a", "b"]);
        var (begun, finish) = (new TaskCompletionSource(), new TaskCompletionSource());
        var slow = Runner(async (subjects, _) =>
        {
            begun.SetResult();
            await finish.Task;
            return ending switch { "done" => subjects, "left" => [], _ => throw new TimeoutException() };
        }).RunDue();
        await begun.Task;
        _time.Advance(TimeSpan.FromSeconds(31));
        var (taken, end) = (new TaskCompletionSource(), new TaskCompletionSource());
        var second = Runner(All, async (_, _) =>
        {
            taken.TrySetResult();
            await end.Task;
        }).RunDue();
        await taken.Task;
        var before = (await Open()).Single(j => j.Attempts == 2);
        finish.SetResult();
        await slow;
        var after = (await Open()).Single(j => j.Id == before.Id);
        Assert.Equal((2, before.LeasedUntil, null, null), (after.Attempts, after.LeasedUntil, after.DoneAt, after.LastFailure));
        end.SetResult();
        await second;
        _time.Advance(TimeSpan.FromSeconds(3));                                    // nobody had taken the other one yet: how it ended was still the slow worker's to say
        await Runner(All).RunDue();
        Assert.Empty(await Open());
    }

    private Task<IReadOnlyCollection<string>> All(IReadOnlyList<string> subjects, CancellationToken stop) => Note(subjects, subjects);

    private Task<IReadOnlyCollection<string>> Note(IReadOnlyList<string> subjects, IEnumerable<string> done)
    {
        _together.Enqueue(string.Join(' ', subjects));
        return Task.FromResult<IReadOnlyCollection<string>>([.. done]);
    }

    private JobRunner Runner(Func<IReadOnlyList<string>, CancellationToken, Task<IReadOnlyCollection<string>>> together, Func<string, CancellationToken, Task>? alone = null)
    {
        var services = new ServiceCollection();
        services.AddScoped<ClinicScope>();
        services.AddScoped(s => _database.Open(s.GetRequiredService<ClinicScope>()));
        services.AddSingleton<IJobHandler>(new Told_together(together, async (subject, stop) =>
        {
            _alone.Enqueue(subject);
            if (alone is not null) await alone(subject, stop);
        }));
        return new(services.BuildServiceProvider().GetRequiredService<IServiceScopeFactory>(), _time, NullLogger<JobRunner>.Instance);
    }

    private async Task Enqueue(IEnumerable<string> subjects, Guid? clinic = null, int lane = JobTable.EverydayLane, Instant? due = null)
    {
        await using var db = _database.Open(clinic ?? Clinic);
        foreach (var subject in subjects) db.Enqueue(Told_together.KindName, subject, due ?? Now, lane);
        await db.SaveChangesAsync();
    }

    private async Task<List<JobRow>> Open()
    {
        await using var db = _database.Open(Clinic);
        return await db.Jobs.AsNoTracking().Where(j => j.DoneAt == null).OrderBy(j => j.Id).ToListAsync();
    }
}

public sealed class Jobs_together_on_SQLite() : Jobs_together_contract(ITestDatabase.Sqlite());

public sealed class Jobs_together_on_PostgreSQL() : Jobs_together_contract(ITestDatabase.Postgres());
