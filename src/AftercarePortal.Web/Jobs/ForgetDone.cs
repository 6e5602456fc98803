using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Jobs;

/// <summary>Deletes jobs that were done long ago, so that the table does not grow for ever: never one that is still to do, nor one that was given up and waits for a person.</summary>
/// <remarks>What a job did stands in the rows it was about: a report's chain of events reads no job.</remarks>
internal sealed class ForgetDone : Rounds
{
    /// <summary>Setting: days a done job is kept, 1 or more.</summary>
    public const string Setting = "Jobs:KeepDoneDays";

    private const int DefaultDays = 30, AtOnce = 1000;
    private readonly IServiceScopeFactory _scopes;
    private readonly TimeProvider _time;
    private readonly Duration _kept;

    /// <exception cref="InvalidOperationException">The setting is less than a day.</exception>
    public ForgetDone(IServiceScopeFactory scopes, TimeProvider time, IConfiguration configuration, ILogger<ForgetDone> log)
        : base(TimeSpan.FromHours(1), log)
    {
        var days = configuration.GetValue(Setting, DefaultDays);
        if (days < 1) throw new InvalidOperationException($"{Setting} is {days}; it can be 1 or more.");
        (_scopes, _time, _kept) = (scopes, time, Duration.FromDays(days));
    }

    /// <summary>Deletes all there are, a thousand at a time, so that nobody waits long for a lock.</summary>
    /// <returns>How many.</returns>
    public async Task<int> Run(CancellationToken stop)
    {
        var before = _time.GetCurrentInstant() - _kept;
        for (var all = 0; ;)
        {
            await using var scope = _scopes.CreateAsyncScope();
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            var ids = await db.Jobs.Where(j => j.DoneAt < before).OrderBy(j => j.DoneAt).Select(j => j.Id).Take(AtOnce).ToListAsync(stop);
            all += await db.Jobs.Where(j => ids.Contains(j.Id) && j.DoneAt < before).ExecuteDeleteAsync(stop);
            if (ids.Count < AtOnce) return all;
        }
    }

    protected override Task Round(CancellationToken stop) => Run(stop);
}
