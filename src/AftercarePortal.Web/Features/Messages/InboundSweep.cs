using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Asks the carrier what it holds, and keeps what no webhook brought: the carrier barely retries, so an outage of ours loses the webhook, not the message (H1).</summary>
internal sealed partial class InboundSweep(IServiceScopeFactory scopes, TwilioCarrier carrier, IOptions<CarrierOptions> options, TimeProvider time, ILogger<InboundSweep> log) : Rounds(TimeSpan.FromMinutes(2), log)
{
    // More than a list can lag or a clock can be wrong.
    private static readonly Duration Overlap = Duration.FromHours(24);

    /// <summary>Sweeps every number of every clinic once. Returns how many messages no webhook had brought.</summary>
    public async Task<int> Run(CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        var clinics = await scope.ServiceProvider.GetRequiredService<PortalDb>().Clinics.AsNoTracking().ToListAsync(stop);
        var found = 0;
        foreach (var number in clinics.SelectMany(c => new[] { c.PatientNumber, c.PageNumber }).Distinct()) found += await Sweep(number, stop);
        if (found > 0) Found(log, found);
        await HandOnLate(stop);
        return found;
    }

    // What came to a number that was no clinic's, once it is.
    private async Task HandOnLate(CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        var nobody = OurNumbers.Nobody.Clinic;
        foreach (var id in await scope.ServiceProvider.GetRequiredService<PortalDb>().Messages.IgnoreQueryFilters().Where(m => m.ClinicId == nobody).OrderBy(m => m.Id).Select(m => m.Id).ToListAsync(stop))
        {
            await Guarded(async () =>
            {
                await using var own = scopes.CreateAsyncScope();
                await own.ServiceProvider.GetRequiredService<ReceiveMessage>().HandOnLate(id, stop);
            }, stop);
        }
    }

    // One number the carrier refuses, or one message that cannot be kept, must not hide the others; the next round tries it again, and looks as far back.
    private async Task<int> Sweep(string number, CancellationToken stop)
    {
        var (found, whole, now) = (0, true, time.GetCurrentInstant());
        await Guarded(async () =>
        {
            var since = await Since(number, now, stop);
            // A list may be cut by whole days: what is older than asked for is not ours to read.
            foreach (var listed in (await carrier.ListInbound(number, since, stop)).Where(m => m.WrittenAt is not { } at || at >= since))
            {
                try
                {
                    if (await KeepIfNew(listed, stop)) found++;
                }
                catch (Exception fault) when (!stop.IsCancellationRequested)
                {
                    whole = false;
                    NotKept(log, fault.GetType().Name);
                }
            }

            if (whole) await Remember(number, now, stop);
        }, stop);
        return found;
    }

    // However long we were away: from the last time the list was read to its end. Asked for the first time: from now, for what is older was not written to us.
    private async Task<Instant> Since(string number, Instant now, CancellationToken stop)
    {
        var farthest = now - Duration.FromDays(options.Value.LookBackDays);
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var last = await db.Swept.AsNoTracking().SingleOrDefaultAsync(s => s.Number == number, stop);
        if (last is null)
        {
            db.AnswerFor(number, now);
            await db.SaveChangesAsync(stop);                                    // two nodes at once: the second is told so and looks again
            return now - SweptRow.Slack;
        }

        return Instant.Max(Instant.Max(Instant.Min(last.At, now) - Overlap, last.Since), farthest);
    }

    private async Task Remember(string number, Instant now, CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        await db.Swept.Where(s => s.Number == number).ExecuteUpdateAsync(set => set.SetProperty(s => s.At, now), stop);
    }

    // Where the carrier or the database is away the messages stay in the carrier's list.
    protected override Task Round(CancellationToken stop) => Run(stop);

    private async Task<bool> KeepIfNew(ListedMessage listed, CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        if (await scope.ServiceProvider.GetRequiredService<PortalDb>().Messages.IgnoreQueryFilters().AnyAsync(m => m.CarrierId == listed.Sid, stop)) return false;
        await scope.ServiceProvider.GetRequiredService<ReceiveMessage>().Run(listed);
        return true;
    }

    [LoggerMessage(LogLevel.Warning, "{Count} messages came without a webhook and were found in the carrier's list")]
    private static partial void Found(ILogger log, int count);

    [LoggerMessage(LogLevel.Error, "A message of the carrier's list could not be kept: {Failure}")]
    private static partial void NotKept(ILogger log, string failure);
}
