using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Asks the carrier what it holds, and keeps what no webhook brought: the carrier barely retries, so an outage of ours loses the webhook, not the message (H1).</summary>
internal sealed partial class InboundSweep(IServiceScopeFactory scopes, TwilioCarrier carrier, TimeProvider time, ILogger<InboundSweep> log) : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromMinutes(2);
    private static readonly Duration LookBack = Duration.FromHours(24);

    /// <summary>Sweeps every number of every clinic once. Returns how many messages no webhook had brought.</summary>
    public async Task<int> Run(CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        var clinics = await scope.ServiceProvider.GetRequiredService<PortalDb>().Clinics.AsNoTracking().ToListAsync(stop);
        var found = 0;
        foreach (var number in clinics.SelectMany(c => new[] { c.PatientNumber, c.PageNumber })) found += await Sweep(number, stop);
        if (found > 0) Found(log, found);
        return found;
    }

    // One number the carrier refuses, or one message that cannot be kept, must not hide the others; the next round tries it again.
    private async Task<int> Sweep(string number, CancellationToken stop)
    {
        var found = 0;
        try
        {
            foreach (var listed in await carrier.ListInbound(number, time.GetCurrentInstant() - LookBack, stop))
            {
                try
                {
                    if (await KeepIfNew(listed, stop)) found++;
                }
                catch (Exception fault) when (!stop.IsCancellationRequested)
                {
                    NotKept(log, fault.GetType().Name);
                }
            }
        }
        catch (Exception fault) when (!stop.IsCancellationRequested)
        {
            RoundFailed(log, fault.GetType().Name);
        }

        return found;
    }

    protected override async Task ExecuteAsync(CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
        {
            try
            {
                await Run(stop);
            }
            catch (Exception fault) when (!stop.IsCancellationRequested)
            {
                // The carrier or the database is away: the messages stay in the carrier's list, and the next round looks again.
                RoundFailed(log, fault.GetType().Name);
            }

            await Task.Delay(Every, stop).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

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

    [LoggerMessage(LogLevel.Error, "A sweep of the carrier's list failed: {Failure}")]
    private static partial void RoundFailed(ILogger log, string failure);
}
