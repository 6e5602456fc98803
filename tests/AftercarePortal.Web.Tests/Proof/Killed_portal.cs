using AftercarePortal.Web.Features.Patients;
using System.Net;
using System.Net.Sockets;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Tests.Proof;

/// <summary>One life of a portal process: a warning sign arrives, the process is killed at some moment, started again, and left to finish.</summary>
internal sealed class Killed_portal(ITestDatabase database) : IAsyncDisposable
{
    private const string Account = "AC00000000000000000000000000000000", Token = "demo-token";
    private static readonly string PhotosKey = $"--Photos:Key={Convert.ToBase64String(new byte[32])}";
    // Starting a process is heavy and waiting for a lease is not: many lives overlap, their starts do not.
    private static readonly SemaphoreSlim OneStartAtATime = new(1);
    private readonly DirectoryInfo _keys = Directory.CreateTempSubdirectory("aftercare-killed-");
    private readonly string _url = $"http://127.0.0.1:{FreePort.Take()}";
    private readonly TaskCompletionSource _reachedTheCarrier = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private volatile bool _holdBefore, _holdAfter;
    private Guid _clinic;

    /// <summary>What the rows and the carrier said.</summary>
    /// <param name="Sent">Every outgoing row.</param>
    /// <param name="CarrierHas">How many messages the carrier has.</param>
    public sealed record Aftermath(
        IReadOnlyList<Fate> Sent, int CarrierHas, int Messages, int Readings, IReadOnlyList<EscalationRow> Reports, IReadOnlyList<EscalationEvent> Events);

    /// <summary>What became of one outgoing row.</summary>
    /// <param name="AtDeath">Its state when the process was dead; null when it was not there yet.</param>
    /// <param name="TriesAfter">How often the second process began to send it; above 1 only when a slow machine made an answer unclear.</param>
    /// <param name="Taken">How often the carrier took it.</param>
    public sealed record Fate(OutgoingRow Row, OutgoingState? AtDeath, int TriesAfter, int Taken)
    {
        /// <summary>It was on the line when the process died: nobody can know whether the carrier took it.</summary>
        public bool WasOnTheLine => AtDeath is OutgoingState.Calling;
    }

    public async Task<Aftermath> Live(Moment moment)
    {
        await Seeded();
        var carrier = new LoopbackCarrier(Account, Token, new Uri(_url), _url);
        await using var phone = WebApplication.Create(["--urls=http://127.0.0.1:0", "--Logging:LogLevel:Default=None"]);
        phone.Use(Hold);
        carrier.Map(phone);
        await phone.StartAsync();
        string[] settings = [$"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={Token}", $"--Carrier:PublicUrl={_url}", $"--Carrier:BaseUrl={phone.Urls.Single()}", "--Carrier:ListSeconds=15", PhotosKey];

        await OneStartAtATime.WaitAsync();
        try
        {
            using var first = new Portal_process(_url, database, _keys.FullName, settings);
            await first.Ready();
            _holdBefore = moment is Moment.The_carrier_holds_the_page;
            _holdAfter = moment is Moment.The_carrier_took_the_page_without_answering;
            var answer = await carrier.Text(Seed.PatientNumber, Seed.ClinicNumber, "my skin has gone white where you injected and it hurts more and more");
            if (answer is not HttpStatusCode.OK) throw new InvalidOperationException($"The portal answered {answer}.");
            await Reached(moment);
            first.Kill();
        }
        finally
        {
            OneStartAtATime.Release();
        }

        _holdBefore = _holdAfter = false;
        var states = await Read(db => db.Outgoing.AsNoTracking().ToDictionaryAsync(o => o.Id, o => o.State));
        var tries = await Tries();
        using var second = await StartedAgain(settings);
        await Until.True("everything due is done", async () => await Read(async db => await db.Readings.AnyAsync() && await NothingIsDue(db)));
        return await Look(carrier, states, tries);
    }

    private async Task<Portal_process> StartedAgain(string[] settings)
    {
        await OneStartAtATime.WaitAsync();
        try
        {
            var second = new Portal_process(_url, database, _keys.FullName, settings);
            await second.Ready();
            return second;
        }
        finally
        {
            OneStartAtATime.Release();
        }
    }

    private Task<Dictionary<string, int>> Tries() => Read(db =>
        db.Jobs.Where(j => j.Kind == MessageJobs.Send).GroupBy(j => j.Subject).Select(g => new { g.Key, Count = g.Sum(j => j.Attempts) }).ToDictionaryAsync(g => g.Key, g => g.Count));

    private Task Reached(Moment moment) => moment switch
    {
        Moment.The_carrier_got_its_200 => Task.CompletedTask,
        Moment.The_reading_is_stored => Until.True("the reading is stored", () => Read(db => db.Readings.AnyAsync())),
        Moment.The_carrier_answered_the_first => Until.True("the carrier's answer is stored", () => Read(db => db.Outgoing.AnyAsync(o => o.State == OutgoingState.Accepted))),
        _ => _reachedTheCarrier.Task.WaitAsync(TimeSpan.FromMinutes(1)),
    };

    private async Task<Aftermath> Look(LoopbackCarrier carrier, Dictionary<Guid, OutgoingState> statesAtDeath, Dictionary<string, int> triesAtDeath)
    {
        var tries = await Tries();
        var sent = await Read(db => db.Outgoing.AsNoTracking().ToListAsync());
        return new(
            [
                .. sent.Select(o => new Fate(
                    o, statesAtDeath.TryGetValue(o.Id, out var state) ? state : null, tries[o.Id.ToString()] - triesAtDeath.GetValueOrDefault(o.Id.ToString()),
                    carrier.Lines.Count(l => l.To == o.To && l.IsCall == (o.Kind is OutgoingKind.PageCall) && l.Text == o.Text))),
            ],
            carrier.Lines.Count,
            await Read(db => db.Messages.CountAsync()), await Read(db => db.Readings.CountAsync()),
            await Read(db => db.Escalations.AsNoTracking().ToListAsync()),
            await Read(db => db.EscalationEvents.AsNoTracking().OrderBy(e => e.Turn).ThenBy(e => e.Id).Select(e => e.What).ToListAsync()));
    }

    private async Task Hold(HttpContext context, RequestDelegate next)
    {
        var sending = HttpMethods.IsPost(context.Request.Method);
        if (sending && _holdBefore)
        {
            await TheOtherEndIsGone(context);
            return;
        }

        await next(context);
        if (sending && _holdAfter) await TheOtherEndIsGone(context);
    }

    private async Task TheOtherEndIsGone(HttpContext context)
    {
        var gone = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        await using var _ = context.RequestAborted.Register(gone.SetResult);
        // A text, which can be looked for; the call beside it may be there first.
        if (context.Request.Path.Value!.EndsWith("/Messages.json", StringComparison.Ordinal)) _reachedTheCarrier.TrySetResult();
        await gone.Task;
    }

    // The demo's own seed, in a portal whose workers stand still.
    private async Task Seeded()
    {
        await using var portal = Portal.Build(["--urls=http://127.0.0.1:0", "--Jobs:Run=false", $"--Database:Kind={database.Kind}", $"--Database:Connection={database.Connection}", $"--Keys:Folder={_keys.FullName}", PhotosKey]);
        await Seed.Run(portal.Services, SystemClock.Instance.GetCurrentInstant());
        using var db = database.Open(new ClinicScope());
        _clinic = await db.Clinics.Select(c => c.Id).SingleAsync();
        // What is killed is the way of a report: no warning list goes out beside it.
        await Read(theirs => theirs.Patients.ExecuteUpdateAsync(set => set.SetProperty(p => p.AgreedToTextsAt, (Instant?)null)));
    }

    private async Task<T> Read<T>(Func<PortalDb, Task<T>> read)
    {
        await using var db = database.Open(_clinic);
        return await read(db);
    }

    private static async Task<bool> NothingIsDue(PortalDb db)
    {
        var now = SystemClock.Instance.GetCurrentInstant();
        return !await db.Jobs.AnyAsync(j => j.DoneAt == null && j.DueAt <= now);
    }

    public ValueTask DisposeAsync()
    {
        database.Dispose();
        _keys.Delete(recursive: true);
        return ValueTask.CompletedTask;
    }
}
