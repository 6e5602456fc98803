using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Primitives;
using NodaTime;

namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>One seed's story: patients write, clinicians answer or sleep, the carrier misbehaves, the process dies; the rules are checked after every event.</summary>
internal sealed class Sim_world(Sim_stage stage, int seed, IReadOnlySet<int> left)
{
    private const string Patients = "+12025550100", Pages = "+12025550101", Iris = "+12025550110", Tomas = "+12025550111";
    private static readonly string[] Words =
        ["my skin has gone white where you injected and it is getting worse", "I cannot see out of one eye", "thank you", "it hurts more and more", "STOP", "START", "", "qwxz brrt"];
    /// <summary>An evening before the clocks go back in New York: quiet hours, the doubled hour and the morning after.</summary>
    private static readonly Instant Start = Instant.FromUtc(2026, 11, 1, 0, 0);
    private static readonly Duration FaultsFor = Duration.FromHours(7), Whole = Duration.FromHours(9), SweepEvery = Duration.FromMinutes(10);
    private readonly Sim_chance _chance = new(seed);
    private readonly PriorityQueue<Func<Task>, (Instant, int)> _events = new();
    private readonly StringBuilder _log = new();
    private readonly Dictionary<Guid, string> _names = [];
    private readonly Guid _clinic = Guid.Parse("01890a5d-ac96-774b-bcce-b302099a8001");
    private readonly Sim_rules _rules = new();
    private int _scheduled;
    private bool _down;

    /// <summary>Whether the carrier's list is asked; a mutant turns it off.</summary>
    public bool Sweeps { get; init; } = true;

    public List<string> Story { get; } = [];

    /// <summary>Plays it. Returns the hash of its log.</summary>
    /// <exception cref="Sim_broken">A rule was broken.</exception>
    public async Task<string> Play()
    {
        stage.Clear();
        stage.Clock.Now = Start;
        stage.Crashes.Chance = null;
        stage.Wire.Begin(_chance);
        stage.Wire.Now = () => stage.Clock.Now;
        stage.Wire.NameOf = NameOf;
        stage.Wire.Took = CarrierTook;
        await Seed();
        stage.Crashes.Begin(_chance);
        for (var i = 0; i < 8; i++) if (!left.Contains(i)) Plan(i);
        for (var at = Start + SweepEvery; at < Start + Whole; at += SweepEvery) if (Sweeps) At(at, () => Guarded(() => stage.Parts.GetRequiredService<InboundSweep>().Run(stage.Crashes.Life.Token)));
        At(Start + FaultsFor, () =>
        {
            (stage.Crashes.Chance, stage.Wire.Faults) = (null, false);
            return Task.CompletedTask;
        });
        while (_events.TryPeek(out _, out var next))
        {
            if (await NextDue() is { } due && due < next.Item1 && !_down) await Work(Instant.Max(due, stage.Clock.Now));
            else
            {
                var what = _events.Dequeue();
                stage.Clock.Now = Instant.Max(stage.Clock.Now, next.Item1);
                await what();
                _down = false;
            }

            await Read(db => _rules.Check(db, stage.Wire, stage.Clock.Now));
        }

        await Read(db => _rules.CheckEnd(db, stage.Wire));
        return Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(_log.ToString())));
    }

    private void Plan(int i)
    {
        var words = Words[_chance.Of($"words {i}", Words.Length)];
        var from = $"+1202555012{_chance.Of($"patient {i}", 3)}";
        var at = Start + Duration.FromMinutes(_chance.Of($"minute {i}", 380));
        At(at, async () =>
        {
            var sid = $"SMin{i}";
            stage.Wire.PhoneWrites(sid, from, Patients, words);
            var way = _chance.Of($"way {i}", 10);
            Tell($"{from} writes \"{words}\"{(way == 0 ? ", and no webhook comes" : way == 1 ? ", and the webhook comes twice" : "")}");
            for (var copy = 0; copy < (way switch { 0 => 0, 1 => 2, _ => 1 }); copy++) await Webhook(sid, from, Patients, words);
        });
    }

    private Task Webhook(string sid, string from, string to, string words) => Guarded(() => InScope(s => s.GetRequiredService<ReceiveMessage>().Run(new FormCollection(new Dictionary<string, StringValues>
    {
        ["MessageSid"] = sid, ["From"] = from, ["To"] = to, ["Body"] = words, ["NumMedia"] = "0",
    }))));

    // Reports come late, twice, or never; clinicians answer, pass it on, or sleep; whoever took one writes an outcome or forgets.
    private void CarrierTook(Sim_wire.Held held)
    {
        var name = $"{NameOf(held.Outgoing)} {held.At}";
        Tell($"carrier takes {NameOf(held.Outgoing)}");
        var wait = Duration.FromSeconds(1 + _chance.Of($"report after {name}", 90));
        var fate = _chance.Of($"report {name}", 10);
        string[] statuses = fate switch { 0 => [], 1 => ["undelivered"], 2 => ["delivered", "sent", "sent"], _ => ["sent", "delivered"] };
        foreach (var status in statuses)
            At(stage.Clock.Now + wait, () => Guarded(() => InScope(s => s.GetRequiredService<KeepDelivery>().Run(held.Outgoing, new FormCollection(new Dictionary<string, StringValues> { ["MessageStatus"] = status })))));
        if (held.To is not (Iris or Tomas) || held.IsCall || fate is 1) return;
        var reply = _chance.Of($"answer {name}", 10) switch { < 5 => "TAKE", 5 => "PASS", 6 => "END", _ => null };
        if (reply is null) return;
        At(stage.Clock.Now + wait + Duration.FromSeconds(_chance.Of($"answer after {name}", 600)), async () =>
        {
            var sid = $"SMstaff{_log.Length}";
            stage.Wire.PhoneWrites(sid, held.To, Pages, reply);
            Tell($"{held.To} answers {reply}");
            await Webhook(sid, held.To, Pages, reply);
        });
        if (_chance.In100($"closes {name}", 75))
            At(stage.Clock.Now + Duration.FromMinutes(20), async () =>
            {
                foreach (var open in await Read(db => db.Escalations.AsNoTracking().Where(e => e.ClosedAt == null && e.TakenBy != null).ToListAsync()))
                    await Guarded(() => InScope(s => s.GetRequiredService<CloseEscalation>().Run(open.Id, open.TakenBy!, "seen", int.MaxValue, default)));
            });
    }

    private async Task Work(Instant at)
    {
        stage.Clock.Now = at;
        await Guarded(() => new JobRunner(stage.Parts.GetRequiredService<IServiceScopeFactory>(), stage.Clock, NullLogger<JobRunner>.Instance).RunDue(stage.Crashes.Life.Token));
    }

    // A killed process comes back after a minute, when leases have run out.
    private async Task Guarded(Func<Task> work)
    {
        try
        {
            await work();
        }
        catch (OperationCanceledException) when (stage.Crashes.Life.IsCancellationRequested)
        {
            stage.Crashes.Life = new();
            foreach (var id in await Read(db => db.Outgoing.Where(o => o.State == OutgoingState.Calling).Select(o => o.Id).ToListAsync()))
                if (stage.Wire.Fates.TryGetValue(id, out var fate)) stage.Wire.Fates[id] = fate with { Unknown = fate.Unknown + 1 };      // the answer died with the process
            Tell("the process is killed and starts again");
            _down = true;
            At(stage.Clock.Now + Duration.FromMinutes(1), () => Task.CompletedTask);
        }
    }

    private void At(Instant at, Func<Task> what) => _events.Enqueue(what, (at, _scheduled++));

    private void Tell(string what)
    {
        var line = $"{stage.Clock.Now:uuuu-MM-dd HH:mm:ss} {what}";
        _log.AppendLine(line);
        Story.Add(line);
    }

    private Task<Instant?> NextDue() => Read(async db => await db.Jobs.Where(j => j.DoneAt == null && j.ParkedAt == null).Select(j => j.LeasedUntil > j.DueAt ? j.LeasedUntil : (Instant?)j.DueAt).MinAsync());

    // A text's key with ids replaced by the order they were first seen in.
    private string NameOf(Guid outgoing)
    {
        if (_names.TryGetValue(outgoing, out var known)) return known;
        var key = Read(db => db.Outgoing.Where(o => o.Id == outgoing).Select(o => o.Key + ":" + o.To).SingleAsync()).GetAwaiter().GetResult();
        return _names[outgoing] = $"{_names.Count} {string.Join(':', key.Split(':').Where(p => !Guid.TryParse(p, out _)))}";
    }

    private async Task InScope(Func<IServiceProvider, Task> work)
    {
        await using var scope = stage.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        await work(scope.ServiceProvider);
    }

    private async Task<T> Read<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = stage.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private Task Seed() => Read(async db =>
    {
        db.Add(new ClinicRow
        {
            Id = _clinic, Name = "Wrenfold Clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0142",
            PatientNumber = Patients, PageNumber = Pages, QuietFrom = new(21, 0), QuietTo = new(8, 0),
        });
        foreach (var (person, number, order) in new[] { ("Iris Hale", Iris, 1), ("Tomas Reed", Tomas, 2) })
            if (!_chance.In100($"no shift {person}", 15))
                db.Add(new ShiftRow { Person = person, Number = number, Order = order, From = Start - Duration.FromDays(1), To = Start + Duration.FromHours(2 + _chance.Of($"shift {person}", 12)) });
        for (var i = 0; i < 3; i++)
        {
            var patient = new PatientRow { Name = $"Patient {i}", Number = $"+1202555012{i}", AgreedToTextsAt = Start };
            db.Add(patient);
            for (var n = 0; n < 3; n++)
            {
                var step = new StepRow
                {
                    ClinicId = _clinic, TreatmentId = patient.Id, PatientId = patient.Id, StepId = $"s{n}", From = "sim.v1", Kind = AftercarePortal.Clinical.Aftercare.StepKind.CheckIn, TextId = "aftercare-filler-day-1", MissedWithinHours = 12, MissedThen = MissedAction.Merge,
                    DueAt = Start + Duration.FromMinutes(_chance.Of($"step {i} {n}", 530)), State = StepState.Planned, StateAt = Start,
                };
                db.Add(step);
                db.Enqueue(PlanAftercare.SendStep, step.Id.ToString(), step.DueAt, lane: 9);
            }
        }

        return await db.SaveChangesAsync();
    });
}
