using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.Extensions.Logging.Abstractions;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Demo.Simulation;

/// <summary>One seed's story: patients write, clinicians answer or sleep, the carrier misbehaves, machines die; the rules are checked after every event.</summary>
internal sealed class SimWorld : IDisposable
{
    private const int MostEvents = 14_000;
    private static readonly Duration Sweeps = Duration.FromMinutes(15);
    private readonly PriorityQueue<Func<Task>, (Instant At, int Nth)> _events = new();
    private readonly StringBuilder _log = new();
    private readonly IReadOnlySet<string> _leftOut;
    private readonly SimNode[] _nodes;
    private SimNode _running;
    private int _scheduled, _points, _played;
    private Instant _bothDownUntil;
    private bool _others, _requested, _losesPower;

    /// <param name="leftOut">Names of what does not happen in this telling: see <see cref="SimStory.Parts"/>.</param>
    public SimWorld(SimStage stage, int seed, IReadOnlySet<string> leftOut)
    {
        (Stage, Chance, _leftOut) = (stage, new(seed), leftOut);
        stage.Clear();
        Rows = new(stage.Database);
        Story = new(this);
        Rules = new(this);
        // In half of the stories the second clock is off by what the watch over clocks bears; more would page somebody.
        Duration[] clocks = [Duration.Zero, LeftOut("clocks apart") ? Duration.Zero : Duration.FromMilliseconds(new[] { 0, 0, -2400, 2400 }[Chance.Of("clocks apart", 4)])];
        _nodes = [.. clocks.Zip(["A", "B"], (apart, name) => new SimNode(name, new JobRunner(stage.Parts.GetRequiredService<IServiceScopeFactory>(), stage.Clock, NullLogger<JobRunner>.Instance), apart))];
        _running = _nodes[0];
    }

    public SimStage Stage { get; }
    public SimChance Chance { get; }
    public SimRows Rows { get; }
    public SimStory Story { get; }
    public SimRules Rules { get; }
    public Instant Now => Stage.Clock.Now;
    public bool FaultsOn { get; private set; }
    public List<string> Lines { get; } = [];
    /// <summary>How far the clocks of two machines are apart, 0 or more.</summary>
    public Duration Apart => Duration.Max(_nodes[1].Apart, -_nodes[1].Apart);
    public int Crashes { get; private set; }
    public int Interleaved { get; private set; }
    public Duration Length => Story.End - Story.Start;

    /// <summary>Plays it. Returns the hash of its log.</summary>
    /// <exception cref="SimBroken">A rule was broken.</exception>
    public async Task<string> Play()
    {
        Stage.Clock.Begin(Story.Start);
        Stage.Faults.Point = _ => Task.CompletedTask;
        Stage.Faults.AtCommit = _ => { };
        Stage.Carrier.Begin(Chance);
        (Stage.Carrier.Now, Stage.Carrier.NameOf, Stage.Carrier.Took, Stage.Carrier.Point) = (() => Now, Story.NameOf, Story.CarrierTook, what => Crash(what, 4, what is "after the carrier" ? 50 : 2));
        await InScope(Story.Begin);
        Stage.Sync();
        FaultsOn = true;
        (Stage.Faults.Point, Stage.Faults.AtCommit) = (Point, when => Crash($"{when} a commit", 2, 3));
        for (var at = Story.Start + Sweeps; at < Story.End; at += Sweeps)
        {
            At(at, Sweep);
            At(at, Watch);
        }

        At(Story.FaultsEnd, FaultsStop);
        while (await PlayNext()) await Rules.Check();
        Rules.CheckEnd();
        return Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(_log.ToString())));
    }

    public bool LeftOut(string part) => _leftOut.Contains(part);

    public void At(Instant at, Func<Task> what) => _events.Enqueue(what, (at, _scheduled++));

    public void Tell(string what)
    {
        var line = $"{InstantPattern.General.Format(Now)} {what}";
        _log.AppendLine(line);
        Lines.Add(line);
    }

    /// <summary>Does something as a request to a machine that runs. Returns whether it came to its end.</summary>
    public async Task<bool> Request(string what, Func<IServiceProvider, Task> work)
    {
        var node = _others ? _nodes.FirstOrDefault(n => n.Up && !n.Dead && n != _running) : AnyUp();
        if (node is null) return false;
        return await Guarded(node, async () =>
        {
            try
            {
                _requested = !_others;
                await InScope(work);
                Crash("before its answer", 3, 5);
                return true;
            }
            catch (Exception fault) when (fault is not SimBroken && !node.Dead)
            {
                Tell($"{what} is answered with an error ({fault.GetType().Name})");
                return false;
            }
            finally
            {
                _requested = false;
            }
        });
    }

    public void Outage(Duration length)
    {
        Tell("both machines stop");
        _bothDownUntil = Now + length;
        foreach (var node in _nodes) node.Up = false;
        At(Now + length, () =>
        {
            Tell("both machines start");
            foreach (var node in _nodes) node.StartAgain();
            return Sweep();
        });
    }

    private async Task<bool> PlayNext()
    {
        if (++_played > MostEvents) throw new SimBroken("the work never ends");
        var due = AnyUp() is null ? null : NextDue();
        if (_events.TryPeek(out _, out var next) && (due is null || next.At < due))
        {
            Stage.Clock.MoveTo(next.At);
            await _events.Dequeue()();
            return true;
        }

        if (due is null || due > Story.End) return false;
        Stage.Clock.MoveTo(due.Value);
        var node = _nodes.Where(n => n.Up).ElementAt(Chance.Of(5, _played, _nodes.Count(n => n.Up)));
        if (!await Guarded(node, () => Work(node)) && node.Up) Stage.Clock.MoveTo(Now + Duration.FromSeconds(1));
        return true;
    }

    private Task<bool> Work(SimNode node) => node.Runner.RunNext(
        job =>
        {
            Rules.Begins(job.Kind, job.Subject);
            Tell($"machine {node.Name} does {job.Kind}{(job.Subject.Split(':') is [_, var round] ? " of round " + round : "")}{(job.Attempts > 1 ? $", try {job.Attempts}" : "")}");
        }, node.Life.Token);

    // Between two commands of one machine, outside a transaction, anything else may happen: the other machine works, a second copy of a message arrives, or this one stands still for longer than its lease.
    private async Task Point(bool nothingOpen)
    {
        Crash("between two commands", 1, 2);
        if (_others || !nothingOpen || !FaultsOn || LeftOut("others act meanwhile") || Chance.Of(6, _points, 1000) >= (_requested ? 150 : 25)) return;
        var outer = _running;
        _others = true;
        try
        {
            Interleaved++;
            var what = Chance.Of(7, _points, 8);
            if (what < 3 && _events.TryPeek(out _, out var next) && next.At < Now + Duration.FromMinutes(1))
            {
                Stage.Clock.MoveTo(next.At);
                await _events.Dequeue()();
            }
            else if (_nodes.FirstOrDefault(n => n.Up && !n.Dead && n != outer) is { } other)
            {
                if (what == 7) Stage.Clock.MoveTo(Now + Duration.FromSeconds(35));
                var held = Rules.Held();
                for (var i = 0; i < 3; i++)
                    if (!other.Up || !await Guarded(other, () => Work(other))) break;
                Rules.StillHeld(held);
            }
        }
        finally
        {
            _others = false;
            Runs(outer);
        }
    }

    private void Runs(SimNode node) => (_running, Stage.Clock.Apart) = (node, node.Apart);

    private void Crash(string where, int what, int inThousand)
    {
        if (_running.Dead) throw new SimCrash();
        _points++;
        if (!FaultsOn || LeftOut("crashes") || Chance.Of(what, _points, 1000) >= inThousand) return;
        Crashes++;
        Tell($"machine {_running.Name} is killed {where}");
        _running.Life.Cancel();
        throw new SimCrash();
    }

    private async Task<bool> Guarded(SimNode node, Func<Task<bool>> work)
    {
        var outer = _running;
        Runs(node);
        try
        {
            return await work();
        }
        catch (Exception fault) when (fault is not SimBroken && node.Dead)
        {
            node.Up = false;
            _losesPower = Stage.Mutant?.LosesPower is true;
            At(Now + Duration.FromSeconds(1 + Chance.Of(8, _points, 120)), () =>
            {
                if (Now < _bothDownUntil) return Task.CompletedTask;              // whoever starts both later starts this one too
                if (!node.Up) node.StartAgain();
                Tell($"machine {node.Name} starts again");
                return Sweep();
            });
            return false;
        }
        finally
        {
            Runs(outer);
            if (_losesPower && !_others) LosePower();
            else if (Stage.Mutant?.LosesPower is true && _played % 20 == 0 && !_others && !node.Dead) Stage.Sync();
        }
    }

    private void LosePower()
    {
        _losesPower = false;
        Stage.LosePower();
        Rules.Forget();
    }

    private Task Sweep() => Stage.Mutant?.NeverSweeps is true || AnyUp() is not { } node ? Task.CompletedTask : Guarded(node, async () =>
    {
        await Stage.Parts.GetRequiredService<InboundSweep>().Run(node.Life.Token);
        return true;
    });

    // A report always has its timer, stored with what called for it: the watch over them never finds one missing.
    private Task Watch() => AnyUp() is not { } node ? Task.CompletedTask : Guarded(node, async () =>
    {
        SimRules.Hold(await Stage.Parts.GetRequiredService<TimerWatch>().Run(node.Life.Token) == 0, "the watch over timers stored one though none was missing");
        return true;
    });

    private Task FaultsStop()
    {
        Tell("faults stop");
        (FaultsOn, Stage.Carrier.Faults, Stage.Clock.Wrong) = (false, false, Duration.Zero);
        Stage.Carrier.ForgetStops(SimClinic.PageNumber);
        foreach (var node in _nodes) node.StartAgain();
        return Task.CompletedTask;
    }

    private SimNode? AnyUp() => _nodes.FirstOrDefault(n => n.Up && !n.Dead);

    private Instant? NextDue() =>
        Rows.One("SELECT min(max(DueAt, coalesce(LeasedUntil, 0))) FROM Jobs WHERE DoneAt IS NULL AND ParkedAt IS NULL") is long ms ? Instant.FromUnixTimeMilliseconds(ms) - Stage.Clock.Wrong : null;

    private async Task InScope(Func<IServiceProvider, Task> work)
    {
        await using var scope = Stage.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(SimClinic.Id);
        await work(scope.ServiceProvider);
    }

    public void Dispose() => Rows.Dispose();
}
