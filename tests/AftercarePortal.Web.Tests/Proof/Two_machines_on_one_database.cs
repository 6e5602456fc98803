using System.Collections.Concurrent;
using System.Net;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Proof;

/// <summary>Two portal processes on one PostgreSQL database, both at work; one is killed with SIGKILL, or stands still for longer than its leases, with texts on the line.</summary>
public sealed class Two_machines_on_one_database : IAsyncLifetime
{
    private const string Account = "AC00000000000000000000000000000000", Token = "demo-token";
    private const int Steps = 60;
    private static readonly string PhotosKey = $"--Photos:Key={Convert.ToBase64String(new byte[32])}";
    private readonly ITestDatabase _database = ITestDatabase.Postgres();
    private readonly DirectoryInfo _keys = Directory.CreateTempSubdirectory("aftercare-two-");
    private readonly string[] _urls = [$"http://127.0.0.1:{FreePort.Take()}", $"http://127.0.0.1:{FreePort.Take()}"];
    private readonly ConcurrentBag<string> _onTheLine = [];
    private readonly TaskCompletionSource _goOn = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private LoopbackCarrier _carrier = null!;
    private WebApplication _phone = null!;
    private Portal_process[] _machines = [];
    private Guid _clinic;
    private volatile bool _hold = true;

    public async Task InitializeAsync()
    {
        _carrier = new LoopbackCarrier(Account, Token, new Uri(_urls[0]), _urls[0]);
        // Each machine has its own way to the carrier, so that the carrier knows whose text it holds.
        _phone = WebApplication.Create([$"--urls=http://127.0.0.1:{FreePort.Take()};http://127.0.0.1:{FreePort.Take()}", "--Logging:LogLevel:Default=None"]);
        _phone.Use(Hold);
        _carrier.Map(_phone);
        await _phone.StartAsync();
        await Seeded();
        _machines = [.. _urls.Zip(_phone.Urls, (url, carrier) => new Portal_process(
            url, _database, _keys.FullName, "--Carrier:TextsPerSecond=0", $"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={Token}", $"--Carrier:PublicUrl={_urls[0]}", $"--Carrier:BaseUrl={carrier}", "--Carrier:ListSeconds=15", PhotosKey))];
        foreach (var machine in _machines) await machine.Ready();
    }

    public async Task DisposeAsync()
    {
        _goOn.TrySetResult();
        foreach (var machine in _machines) machine.Dispose();
        await _phone.DisposeAsync();
        _database.Dispose();
        _keys.Delete(recursive: true);
    }

    [Fact]
    public async Task When_one_is_killed_the_other_takes_over_and_no_step_is_sent_twice_and_no_report_is_lost()
    {
        await Work();
        _machines[0].Kill();
        _hold = false;
        _goOn.TrySetResult();
        await Until.True("the other has done everything", () => Read(async db => await db.Readings.AnyAsync() && await NothingIsDue(db)));
        await Everything_was_done_once();
    }

    [Fact]
    public async Task When_one_stands_still_for_longer_than_its_lease_what_it_writes_afterwards_changes_nothing()
    {
        await Work();
        _machines[0].Signal("STOP");
        _hold = false;
        await Until.True("the other has done everything", () => Read(async db => await db.Readings.AnyAsync() && await NothingIsDue(db)));
        var before = await Read(db => db.Jobs.AsNoTracking().OrderBy(j => j.Id).Select(j => new { j.Id, j.Attempts, j.DoneAt, j.LeasedUntil }).ToListAsync());
        // First the carrier takes what the frozen one had on the line: awake, it may have waited too long already and hang up.
        _goOn.TrySetResult();
        await Until.True("the carrier has what was on the line", () => Task.FromResult(_onTheLine.All(text => _carrier.Lines.Any(l => l.Text == text))));
        _machines[0].Signal("CONT");
        await Until.True("the frozen one beats again", () => Read(db => db.WorkerBeats.AllAsync(b => b.At > SystemClock.Instance.GetCurrentInstant() - Duration.FromSeconds(15))));
        var after = await Read(db => db.Jobs.AsNoTracking().Where(j => before.Select(b => b.Id).Contains(j.Id)).OrderBy(j => j.Id).Select(j => new { j.Id, j.Attempts, j.DoneAt, j.LeasedUntil }).ToListAsync());
        Assert.Equal(before.Where(b => b.DoneAt != null), after.Where(a => before.Any(b => b.Id == a.Id && b.DoneAt != null)));
        await Everything_was_done_once();
    }

    // Steps are due, a patient reports a warning sign, and the carrier holds what the first machine sends. The second stands still until then: alone it might do everything before the first begins.
    private async Task Work()
    {
        _machines[1].Signal("STOP");
        await Due(0, Steps / 2);
        await Until.True("the first has a text on the line", () => Task.FromResult(!_onTheLine.IsEmpty));
        _machines[1].Signal("CONT");
        await Due(Steps / 2, Steps);
        Assert.Equal(HttpStatusCode.OK, await _carrier.Text(Seed.PatientNumber, Seed.ClinicNumber, "my skin has gone white where you injected and it hurts more and more"));
        await Until.True("the second works", () => Read(db => db.Outgoing.AnyAsync(o => o.State == OutgoingState.Accepted)));
    }

    private Task<int> Due(int from, int to) => Read(async db =>
    {
        var ids = Enumerable.Range(from, to - from).Select(i => $"proof{i}").ToList();
        foreach (var step in await db.Steps.Where(s => ids.Contains(s.StepId)).ToListAsync()) db.Enqueue(PlanAftercare.SendStep, step.Id.ToString(), step.DueAt, lane: 9);
        return await db.SaveChangesAsync();
    });

    private async Task Everything_was_done_once()
    {
        var sent = await Read(db => db.Outgoing.AsNoTracking().ToListAsync());
        // Of an evening the demo's own patient has a step due too.
        var proof = await Read(db => db.Steps.AsNoTracking().Where(s => s.StepId.StartsWith("proof")).Select(s => s.Id).ToListAsync());
        var steps = sent.Where(o => proof.Exists(id => o.Key == $"step:{id}")).ToList();
        Assert.Equal(Steps, steps.Count);
        Assert.All(steps, step => Assert.True(Taken(step) <= 1, $"a step was sent {Taken(step)} times"));
        // One on the line at that moment may have been lost with the machine: it is never sent a second time, a person sees it.
        Assert.All(steps.Where(s => Taken(s) == 0), s => Assert.Equal(OutgoingState.Unclear, s.State));
        Assert.True(steps.Count(s => Taken(s) == 0) <= (JobRunner.QuickWorkers - 1) * SendMessage.AtOnce);

        Assert.Equal((1, 1, 1), await Read(async db => (await db.Messages.CountAsync(), await db.Readings.CountAsync(), await db.Escalations.CountAsync())));
        Assert.All(sent.Where(o => o.Kind is not OutgoingKind.Step), o => Assert.True(Taken(o) >= 1, $"{o.Kind} was not sent"));
        Assert.Equal(0, await Read(db => db.Jobs.CountAsync(j => j.ParkedAt != null)));
        var takenOver = await Read(db => db.Jobs.AsNoTracking().Where(j => j.Attempts > 1).ToListAsync());
        Assert.NotEmpty(takenOver);
        Assert.All(takenOver, job => Assert.NotNull(job.DoneAt));
    }

    private int Taken(OutgoingRow row) => _carrier.Lines.Count(l => l.To == row.To && l.Text == row.Text && l.IsCall == (row.Kind is OutgoingKind.PageCall));

    private async Task Hold(HttpContext context, RequestDelegate next)
    {
        if (_hold && HttpMethods.IsPost(context.Request.Method) && $"http://127.0.0.1:{context.Connection.LocalPort}" == _phone.Urls.First())
        {
            context.Request.EnableBuffering();
            var form = await context.Request.ReadFormAsync();
            _onTheLine.Add(form["Body"].ToString() is { Length: > 0 } text ? text : form["Twiml"].ToString());
            await _goOn.Task;
            if (context.RequestAborted.IsCancellationRequested) return;         // killed: the carrier never saw it whole
        }

        await next(context);
    }

    private async Task Seeded()
    {
        await using var portal = Portal.Build(["--urls=http://127.0.0.1:0", "--Jobs:Run=false", $"--Database:Kind={_database.Kind}", $"--Database:Connection={_database.Connection}", $"--Keys:Folder={_keys.FullName}", PhotosKey]);
        var now = SystemClock.Instance.GetCurrentInstant();
        await Seed.Run(portal.Services, now);
        await using (var db = _database.Open(Guid.Empty)) _clinic = await db.Clinics.Select(c => c.Id).SingleAsync();
        await Read(async db =>
        {
            var clinic = await db.Clinics.SingleAsync();
            clinic.QuietTo = clinic.QuietFrom;                                   // none: the test runs at any hour
            for (var i = 0; i < Steps; i++)
            {
                var patient = new PatientRow { ClinicId = _clinic, Name = $"Patient {i}", Number = $"+120255501{i + 30:00}", AgreedToTextsAt = now };
                db.Add(patient);
                db.Add(new StepRow
                {
                    ClinicId = _clinic, TreatmentId = patient.Id, PatientId = patient.Id, StepId = $"proof{i}", From = "proof.v1", Kind = StepKind.CheckIn, TextId = "aftercare-filler-day-1",
                    DueAt = now, MissedWithinHours = 12, MissedThen = MissedAction.Skip, State = StepState.Planned, StateAt = now,
                });
            }

            return await db.SaveChangesAsync();
        });
    }

    private async Task<T> Read<T>(Func<PortalDb, Task<T>> read)
    {
        await using var db = _database.Open(_clinic);
        return await read(db);
    }

    private static async Task<bool> NothingIsDue(PortalDb db)
    {
        var now = SystemClock.Instance.GetCurrentInstant();
        return !await db.Jobs.AnyAsync(j => j.DoneAt == null && j.ParkedAt == null && j.DueAt <= now);
    }
}
