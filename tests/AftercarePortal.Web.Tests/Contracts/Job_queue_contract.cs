using System.Collections.Concurrent;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>What the job queue promises on every database.</summary>
public abstract class Job_queue_contract : IDisposable
{
    private static readonly Guid Clinic = Guid.CreateVersion7();
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 10, 9, 0, 0, TimeSpan.Zero));
    private readonly ITestDatabase _database;
    private readonly ConcurrentQueue<string> _alarms = new();
    private bool _alarmsFail;

    private protected Job_queue_contract(ITestDatabase database) => _database = database;

    private Instant Now => _time.GetCurrentInstant();

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task A_job_whose_cause_was_not_saved_does_not_exist()
    {
        await Save(db => db.Add(AClinic("+12025550101")));
        await Assert.ThrowsAsync<DbUpdateException>(() => Save(db =>
        {
            db.Add(AClinic("+12025550101"));                      // the number is taken: the save fails
            db.Enqueue(Told_handler.KindName, "lost cause", Now);
        }));
        Assert.Empty(await AllJobs());

        await Save(db =>
        {
            db.Add(AClinic("+12025550103"));
            db.Enqueue(Told_handler.KindName, "kept cause", Now);
        });
        Assert.Equal("kept cause", Assert.Single(await AllJobs()).Subject);
    }

    [Fact]
    public async Task A_cause_whose_job_cannot_be_saved_does_not_exist_either()
    {
        await Assert.ThrowsAsync<DbUpdateException>(() => Save(db =>
        {
            db.Add(AClinic("+12025550101"));
            db.Enqueue(Told_handler.KindName, "no such lane", Now, lane: 3);
        }));
        await using var db = _database.Open(Clinic);
        Assert.Empty(await db.Clinics.ToListAsync());
        Assert.Empty(await AllJobs());
    }

    [Fact]
    public async Task A_job_in_work_is_not_given_to_a_second_runner()
    {
        await Enqueue("one");
        var begun = new TaskCompletionSource();
        var finish = new TaskCompletionSource();
        var first = Runner(async (_, _) =>
        {
            begun.SetResult();
            await finish.Task;
        }).RunDue();
        await begun.Task;

        Assert.Equal(0, await Runner(Nothing).RunDue());
        finish.SetResult();
        Assert.Equal(1, await first);
    }

    [Fact]
    public async Task Two_runners_at_the_same_time_do_every_job_once()
    {
        var subjects = Enumerable.Range(0, 20).Select(n => $"job {n}").ToList();
        await Save(db => subjects.ForEach(subject => db.Enqueue(Told_handler.KindName, subject, Now)));
        var done = new ConcurrentBag<string>();
        Task Note(string subject, CancellationToken stop)
        {
            done.Add(subject);
            return Task.CompletedTask;
        }

        var counts = await Task.WhenAll(Task.Run(() => Runner(Note).RunDue()), Task.Run(() => Runner(Note).RunDue()));

        Assert.Equal(20, counts.Sum());
        Assert.Equal(subjects.Order(), done.Order());
    }

    [Fact]
    public async Task A_job_whose_worker_died_comes_back_after_its_lease()
    {
        await Enqueue("one");
        await DieInTheMiddle();

        Assert.Equal(0, await Runner(Nothing).RunDue());
        _time.Advance(TimeSpan.FromSeconds(31));
        Assert.Equal(1, await Runner(Nothing).RunDue());
        Assert.NotNull((await TheJob()).DoneAt);
    }

    [Fact]
    public async Task A_worker_that_lost_its_lease_changes_nothing()
    {
        await Enqueue("one");
        var begun = new TaskCompletionSource();
        var finish = new TaskCompletionSource();
        var slow = Runner(async (_, _) =>
        {
            begun.SetResult();
            await finish.Task;
            throw new TimeoutException();
        }).RunDue();
        await begun.Task;
        _time.Advance(TimeSpan.FromSeconds(31));
        Assert.Equal(1, await Runner(Nothing).RunDue());

        finish.SetResult();
        await slow;

        var job = await TheJob();
        Assert.NotNull(job.DoneAt);
        Assert.Null(job.LastFailure);
    }

    [Fact]
    public async Task While_learning_takes_minutes_one_worker_learns_and_the_others_go_on_with_what_is_sooner()
    {
        await Save(db =>
        {
            for (var i = 0; i < QuickWorkersAndMore; i++) db.Enqueue(Told_handler.KindName, $"learn {i}", Now, JobTable.LearningLane);
        });
        var (begun, finish) = (new ConcurrentQueue<string>(), new TaskCompletionSource());
        using var runner = Runner((subject, _) =>
        {
            begun.Enqueue(subject);
            return subject == "call" ? Task.CompletedTask : finish.Task;
        });
        await runner.StartAsync(default);
        await Proof.Until.True("learning has begun", () => Task.FromResult(!begun.IsEmpty));
        _time.Advance(TimeSpan.FromMinutes(5));
        await Task.Delay(TimeSpan.FromSeconds(1));                                  // each worker looks for work four times
        await Save(db => db.Enqueue(Told_handler.KindName, "call", Now, JobTable.CallLane));
        await Proof.Until.True("the call was placed", () => Task.FromResult(begun.Contains("call")));
        Assert.Equal(2, begun.Count);
        finish.SetResult();
        await runner.StopAsync(default);
    }

    private const int QuickWorkersAndMore = JobRunner.QuickWorkers + 2;

    [Fact]
    public async Task Learning_that_takes_longer_than_other_jobs_is_not_begun_by_a_second_machine_meanwhile()
    {
        await Save(db => db.Enqueue(Told_handler.KindName, "learn", Now, JobTable.LearningLane));
        var (begun, finish) = (new TaskCompletionSource(), new TaskCompletionSource());
        var first = Runner((_, _) =>
        {
            begun.SetResult();
            return finish.Task;
        }).RunDue();
        await begun.Task;
        _time.Advance(TimeSpan.FromSeconds(50));
        Assert.Equal(0, await Runner(Nothing).RunDue());
        finish.SetResult();
        Assert.Equal(1, await first);
        Assert.Equal(1, (await TheJob()).Attempts);
    }

    [Fact]
    public async Task A_failing_job_is_tried_again_later_and_parked_after_eight_attempts_never_dropped()
    {
        await Enqueue("one");
        var failing = Runner((_, _) => throw new TimeoutException("words of a patient"));
        for (var attempt = 1; attempt <= 8; attempt++)
        {
            Assert.Null((await TheJob()).ParkedAt);
            Assert.Equal(attempt < 8 ? 1 : 2, await failing.RunDue());              // and not again at once; the last brings the alarm
            Assert.Equal(attempt, (await TheJob()).Attempts);
            _time.Advance(TimeSpan.FromHours(1));
        }

        var job = await TheJob();
        Assert.NotNull(job.ParkedAt);
        Assert.Null(job.DoneAt);
        Assert.Equal("TimeoutException", job.LastFailure);        // its type, never its words
        _time.Advance(TimeSpan.FromDays(30));
        Assert.Equal(0, await failing.RunDue());
        Assert.Equal([job.Id.ToString()], _alarms);               // told of once, in the same save
    }

    [Fact]
    public async Task An_alarm_that_cannot_be_raised_is_parked_and_raises_no_further_alarm()
    {
        _alarmsFail = true;
        await Enqueue("one");
        var failing = Runner((_, _) => throw new TimeoutException());
        for (var i = 0; i < 40; i++)
        {
            await failing.RunDue();
            _time.Advance(TimeSpan.FromHours(1));
        }

        await using var db = _database.Open(Clinic);
        Assert.Equal(2, await db.Jobs.CountAsync());
        Assert.Equal(2, await db.Jobs.CountAsync(j => j.ParkedAt != null));
    }

    [Fact]
    public async Task A_job_whose_worker_dies_every_time_is_parked_and_told_of()
    {
        await Enqueue("one");
        for (var i = 0; i < 8; i++)
        {
            await DieInTheMiddle();
            _time.Advance(TimeSpan.FromSeconds(31));
        }

        Assert.Equal(1, await Runner(Nothing).RunDue());
        Assert.Single(_alarms);
        Assert.NotNull((await TheJob()).ParkedAt);
    }

    [Fact]
    public async Task A_job_that_failed_once_is_done_at_the_next_try()
    {
        await Enqueue("one");
        await Runner((_, _) => throw new TimeoutException()).RunDue();
        Assert.Equal(0, await Runner(Nothing).RunDue());
        _time.Advance(TimeSpan.FromSeconds(3));
        Assert.Equal(1, await Runner(Nothing).RunDue());
        Assert.NotNull((await TheJob()).DoneAt);
    }

    [Fact]
    public async Task Of_several_due_jobs_the_smaller_lane_goes_first_then_the_earlier()
    {
        await Save(db =>
        {
            db.Enqueue(Told_handler.KindName, "aftercare", Now - Duration.FromHours(2), lane: 9);
            db.Enqueue(Told_handler.KindName, "later reading", Now - Duration.FromMinutes(1));
            db.Enqueue(Told_handler.KindName, "earlier reading", Now - Duration.FromHours(1));
            db.Enqueue(Told_handler.KindName, "page", Now, lane: 0);
            db.Enqueue(Told_handler.KindName, "not due", Now + Duration.FromSeconds(1), lane: 0);
        });
        var order = new List<string>();
        await Runner((subject, _) =>
        {
            order.Add(subject);
            return Task.CompletedTask;
        }).RunDue();
        Assert.Equal(["page", "earlier reading", "later reading", "aftercare"], order);
    }

    [Fact]
    public async Task A_worker_goes_on_after_a_job_or_the_database_gave_up_waiting()
    {
        await Enqueue("one");
        var (openings, ran) = (0, new TaskCompletionSource());
        using var runner = Runner((_, _) =>
        {
            if (openings < 1000) throw new TaskCanceledException("the carrier took too long");
            ran.TrySetResult();
            return Task.CompletedTask;
        }, () =>
        {
            // Each worker's every third look at the database is given up, as by a command that takes too long.
            if (Interlocked.Increment(ref openings) % 3 == 0) throw new OperationCanceledException();
            if (openings is > 20 and < 1000)
            {
                Interlocked.Exchange(ref openings, 1000);
                _time.Advance(TimeSpan.FromHours(1));
            }
        });
        await runner.StartAsync(default);
        await ran.Task.WaitAsync(TimeSpan.FromMinutes(1));
        _time.Advance(TimeSpan.FromSeconds(11));
        await Proof.Until.True("every worker beats", async () =>
        {
            await using var db = _database.Open(Clinic);
            return await db.WorkerBeats.CountAsync(b => b.At == Now) == JobRunner.QuickWorkers + 1;
        });
        await runner.StopAsync(default);
    }

    [Fact]
    public async Task A_job_in_a_lane_no_worker_looks_at_cannot_be_stored() =>
        await Assert.ThrowsAsync<DbUpdateException>(() => Save(db => db.Enqueue(Told_handler.KindName, "one", Now, lane: 3)));

    private Task Alarm(string subject, CancellationToken stop)
    {
        if (_alarmsFail) throw new TimeoutException();
        _alarms.Enqueue(subject);
        return Task.CompletedTask;
    }

    private static Task Nothing(string subject, CancellationToken stop) => Task.CompletedTask;

    private static ClinicRow AClinic(string number) => new()
    {
        Name = "Wrenfold Clinic", Zone = "Europe/London", EmergencyNumber = "999", ClinicLine = "+447700900001",
        PatientNumber = number, PageNumber = number, QuietFrom = new LocalTime(21, 0), QuietTo = new LocalTime(8, 0),
    };

    private async Task DieInTheMiddle()
    {
        using var death = new CancellationTokenSource();
        var dying = Runner((_, stop) =>
        {
            death.Cancel();
            stop.ThrowIfCancellationRequested();
            return Task.CompletedTask;
        });
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => dying.RunDue(death.Token));
    }

    [Fact]
    public async Task A_reading_that_fails_three_times_tells_somebody_within_half_a_minute_and_is_tried_on()
    {
        await Save(db => db.Enqueue(Told_handler.KindName, "hard to read", Now, lane: JobTable.ReadLane));
        var (tries, began) = (0, Now);
        var failing = Runner((_, _) => ++tries < 5 ? throw new TimeoutException() : Task.CompletedTask);
        for (var second = 0; second <= 60; second++)
        {
            await failing.RunDue();
            _time.Advance(TimeSpan.FromSeconds(1));
        }

        await using var db = _database.Open(Clinic);
        var told = Assert.Single(await db.Jobs.Where(j => j.Kind == JobRunner.JobFails).ToListAsync());
        Assert.Equal((await TheJob()).Id.ToString(), told.Subject);
        Assert.InRange(told.DueAt - began, Duration.FromSeconds(1), Duration.FromSeconds(30));
        Assert.Equal(5, tries);
        Assert.NotNull((await TheJob()).DoneAt);
    }

    [Fact]
    public async Task Jobs_done_longer_ago_than_they_are_kept_are_deleted_and_nothing_that_is_still_to_do_or_waits_for_a_person()
    {
        var old = Now - Duration.FromDays(31);
        await Save(db =>
        {
            for (var i = 0; i < 2300; i++) db.Add(Job($"done {i}", j => j.DoneAt = old));
            db.Add(Job("done lately", j => j.DoneAt = Now - Duration.FromDays(29)));
            db.Add(Job("still to do", _ => { }));
            db.Add(Job("given up", j => j.ParkedAt = old));
        });
        var services = new ServiceCollection().AddScoped<ClinicScope>().AddScoped(s => _database.Open(s.GetRequiredService<ClinicScope>())).BuildServiceProvider();
        using var forget = new ForgetDone(services.GetRequiredService<IServiceScopeFactory>(), _time, new ConfigurationBuilder().Build(), NullLogger<ForgetDone>.Instance);
        Assert.Equal(2300, await forget.Run(default));
        Assert.Equal(["done lately", "given up", "still to do"], (await AllJobs()).Select(j => j.Subject).Order());

        JobRow Job(string subject, Action<JobRow> change)
        {
            var job = new JobRow { ClinicId = Clinic, Kind = Told_handler.KindName, Subject = subject, DueAt = old, Lane = 5 };
            change(job);
            return job;
        }
    }

    [Fact]
    public void Done_jobs_are_not_deleted_on_the_day_they_were_done() =>
        Assert.Throws<InvalidOperationException>(() => new ForgetDone(null!, _time, new ConfigurationBuilder().AddInMemoryCollection([KeyValuePair.Create(ForgetDone.Setting, (string?)"0")]).Build(), NullLogger<ForgetDone>.Instance));

    private JobRunner Runner(Func<string, CancellationToken, Task> what, Action? onOpening = null)
    {
        var services = new ServiceCollection();
        services.AddScoped<ClinicScope>();
        services.AddScoped(s =>
        {
            onOpening?.Invoke();
            return _database.Open(s.GetRequiredService<ClinicScope>());
        });
        services.AddSingleton<IJobHandler>(new Told_handler(what));
        services.AddSingleton<IJobHandler>(new Told_handler(Alarm, JobRunner.JobParked));
        services.AddSingleton<IJobHandler>(new Told_handler(Nothing, JobRunner.JobFails));
        return new(services.BuildServiceProvider().GetRequiredService<IServiceScopeFactory>(), _time, NullLogger<JobRunner>.Instance);
    }

    private Task Enqueue(string subject) => Save(db => db.Enqueue(Told_handler.KindName, subject, Now));

    private async Task Save(Action<PortalDb> change)
    {
        await using var db = _database.Open(Clinic);
        change(db);
        await db.SaveChangesAsync();
    }

    private async Task<JobRow> TheJob() => Assert.Single(await AllJobs());

    private async Task<List<JobRow>> AllJobs()
    {
        await using var db = _database.Open(Clinic);
        return await db.Jobs.AsNoTracking().Where(j => j.Kind == Told_handler.KindName).ToListAsync();
    }
}
