using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Demo.Clock;

/// <summary>Lets time pass from one due job to the next, so that everything happens on its day and not all at once at the end.</summary>
internal sealed class PassingDays(DemoClock clock, IServiceProvider portal)
{
    private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(20);

    /// <summary>Runs after each stop on the way, when everything due then was done.</summary>
    public Func<Task> AfterEachStop { get; set; } = () => Task.CompletedTask;

    /// <summary>Moves the clock to an instant by way of every job due until then.</summary>
    /// <param name="patience">Real time this may take. When it is over the clock goes straight to the end, and what is left comes late, as after an outage.</param>
    /// <returns>Whether everything due was done.</returns>
    public async Task<bool> PassTo(Instant target, TimeSpan patience)
    {
        var taken = Stopwatch.StartNew();
        while (await Settled(taken, patience))
        {
            await AfterEachStop();
            if (clock.Now >= target) return true;
            clock.MoveTo(await NextDue(target) ?? target);
        }

        clock.MoveTo(target);
        return false;
    }

    private async Task<bool> Settled(Stopwatch taken, TimeSpan patience)
    {
        while (taken.Elapsed < patience)
        {
            var now = clock.Now;
            if (!await Ask(jobs => jobs.AnyAsync(j => j.DueAt <= now))) return true;
            await Task.Delay(Look);
        }

        return false;
    }

    private Task<Instant?> NextDue(Instant target)
    {
        var now = clock.Now;
        return Ask(jobs => jobs.Where(j => j.DueAt > now && j.DueAt < target).MinAsync(j => (Instant?)j.DueAt));
    }

    private async Task<T> Ask<T>(Func<IQueryable<JobRow>, Task<T>> ask)
    {
        await using var scope = portal.CreateAsyncScope();
        return await ask(scope.ServiceProvider.GetRequiredService<PortalDb>().Jobs.AsNoTracking().Where(j => j.DoneAt == null && j.ParkedAt == null));
    }
}
