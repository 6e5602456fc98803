using System.Linq.Expressions;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Query;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Jobs;

/// <summary>Claims jobs by a conditional update with a lease, so two runners never do one job at once, and writes down how they ended.</summary>
internal sealed class JobQueue(IServiceScopeFactory scopes, TimeProvider time)
{
    /// <summary>How long one worker holds a job; one that learns, <see cref="LearningLease"/>.</summary>
    public static readonly Duration Lease = Duration.FromSeconds(30);

    /// <summary>How long one worker holds a job of the learning lane: all of a clinic's cases are read for it. Longer, and a machine that dies would keep the others waiting.</summary>
    public static readonly Duration LearningLease = Duration.FromMinutes(1);

    private const int NoLane = -1;
    private static readonly AskedOften<Func<PortalDb, int[], Instant, IAsyncEnumerable<JobRow>>> FirstOfLanes = new(FirstOfEach);

    /// <summary>The next due job of these lanes, now held by the caller; null: nothing is due.</summary>
    public async Task<JobRow?> ClaimNext(int[] lanes, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        while (await FirstDue(db, lanes, now, stop) is { } job)
        {
            if (job.Attempts >= JobRunner.MostAttempts)
            {
                // Its last lease ran out without an answer: it may be what kills the process, so a person must look.
                await Park(db, job, failure: null, now, stop);
                continue;
            }

            if (await Claim(db, job, now, stop)) return job;
        }

        return null;
    }

    // Of a job of the reading lane that failed again and again somebody is told (a message is given to a person unread), and it is tried on: both or neither.
    private static async Task<bool> Claim(PortalDb db, JobRow job, Instant now, CancellationToken stop)
    {
        var tells = job is { Lane: JobTable.ReadLane, Attempts: JobRunner.TriesAlone };
        await using var all = tells ? await db.Database.BeginTransactionAsync(stop) : null;
        var until = now + (job.Lane is JobTable.LearningLane ? LearningLease : Lease);
        var claimed = await db.Jobs
            .Where(j => j.Id == job.Id && j.Attempts == job.Attempts && j.DoneAt == null && (j.LeasedUntil == null || j.LeasedUntil <= now))
            .ExecuteUpdateAsync(set => set.SetProperty(j => j.Attempts, job.Attempts + 1).SetProperty(j => j.LeasedUntil, until), stop);
        (job.Attempts, job.LeasedUntil) = (job.Attempts + 1, until);
        if (claimed == 0 || all is null) return claimed == 1;
        db.Add(new JobRow { ClinicId = job.ClinicId, Kind = JobRunner.JobFails, Subject = job.Id.ToString(), DueAt = now, Lane = 0 });
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return true;
    }

    /// <summary>More due jobs like one that is held, none of them tried before, now held too.</summary>
    /// <returns>At most <paramref name="most"/>; of the next ones due, those of the same kind and clinic.</returns>
    public async Task<IReadOnlyList<JobRow>> ClaimMore(JobRow first, int most, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        for (var tries = 0; tries < 3; tries++)
        {
            // As many as may be taken, whatever they are: never a long walk past others. What another worker is just taking is passed over where the database can, and claimed once anyway.
            await using var all = await db.Database.BeginTransactionAsync(stop);
            var next = await db.Jobs.AsNoTracking().TagWith(PassOverHeld.Tag)
                .Where(j => j.Lane == first.Lane && j.DoneAt == null && j.ParkedAt == null && j.DueAt <= now && (j.LeasedUntil == null || j.LeasedUntil <= now))
                .OrderBy(j => j.DueAt).ThenBy(j => j.Id).Take(most).ToListAsync(stop);
            var like = next.FindAll(j => j.Attempts == 0 && j.Kind == first.Kind && j.ClinicId == first.ClinicId);
            if (like.Count == 0) return like;
            var ids = like.ConvertAll(j => j.Id);
            var claimed = await db.Jobs
                .Where(j => ids.Contains(j.Id) && j.Attempts == 0 && j.DoneAt == null && (j.LeasedUntil == null || j.LeasedUntil <= now))
                .ExecuteUpdateAsync(set => set.SetProperty(j => j.Attempts, 1).SetProperty(j => j.LeasedUntil, now + Lease), stop);
            if (claimed < like.Count) continue;                                    // another worker took one of them in the same moment: all of them or none
            await all.CommitAsync(stop);
            foreach (var job in like) (job.Attempts, job.LeasedUntil) = (1, now + Lease);
            return like;
        }

        return [];
    }

    /// <summary>First tries that were done together, or are kept for another try: each by its number of attempts, as alone.</summary>
    public Task Settle(IReadOnlyList<JobRow> together, string? failure, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        return OfEach(together, mine => failure is null
            ? mine.ExecuteUpdateAsync(set => set.SetProperty(j => j.DoneAt, now), stop)
            : mine.ExecuteUpdateAsync(
                set => set.SetProperty(j => j.DueAt, now + AfterFailures(1)).SetProperty(j => j.LeasedUntil, (Instant?)null).SetProperty(j => j.LastFailure, failure), stop));
    }

    /// <summary>First tries that were not begun: any worker may have them at once, each alone.</summary>
    public Task GiveBack(IReadOnlyList<JobRow> untouched, CancellationToken stop) =>
        OfEach(untouched, mine => mine.ExecuteUpdateAsync(set => set.SetProperty(j => j.LeasedUntil, (Instant?)null), stop));

    private async Task OfEach(IReadOnlyList<JobRow> firstTries, Func<IQueryable<JobRow>, Task<int>> change)
    {
        if (firstTries.Count == 0) return;
        var ids = firstTries.Select(j => j.Id).ToList();
        await using var scope = scopes.CreateAsyncScope();
        await change(scope.ServiceProvider.GetRequiredService<PortalDb>().Jobs.Where(j => ids.Contains(j.Id) && j.Attempts == 1));
    }

    /// <summary>Done, or kept for another try, or parked. Attempts is the fencing number: a worker that lost its lease changes nothing.</summary>
    public async Task Settle(JobRow job, string? failure, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var mine = db.Jobs.Where(j => j.Id == job.Id && j.Attempts == job.Attempts);
        if (failure is null)
            await mine.ExecuteUpdateAsync(set => set.SetProperty(j => j.DoneAt, now), stop);
        else if (job.Attempts >= JobRunner.MostAttempts)
            await Park(db, job, failure, now, stop);
        else
            await mine.ExecuteUpdateAsync(
                set => set.SetProperty(j => j.DueAt, now + AfterFailures(job.Attempts))
                    .SetProperty(j => j.LeasedUntil, (Instant?)null).SetProperty(j => j.LastFailure, failure), stop);
    }

    private static Duration AfterFailures(int attempts) => Duration.FromSeconds(1 << attempts);

    // One question for all lanes, and each lane one short walk along an index of what is still to do, however many jobs wait for later.
    private static Func<PortalDb, int[], Instant, IAsyncEnumerable<JobRow>> FirstOfEach()
    {
        Expression<Func<PortalDb, int, Instant, IQueryable<JobRow>>> first = (db, lane, now) => db.Set<JobRow>().AsNoTracking()
            .Where(j => j.Lane == lane && j.DoneAt == null && j.ParkedAt == null && j.DueAt <= now && (j.LeasedUntil == null || j.LeasedUntil <= now))
            .OrderBy(j => j.DueAt).ThenBy(j => j.Id).Take(1);
        var (db, now) = (first.Parameters[0], first.Parameters[2]);
        var lanes = JobTable.Lanes.Select((_, i) => Expression.Parameter(typeof(int), $"lane{i}")).ToArray();
        var each = lanes.Select(lane => ReplacingExpressionVisitor.Replace(first.Parameters[1], lane, first.Body)).Aggregate((one, more) => Expression.Call(typeof(Queryable), nameof(Queryable.Concat), [typeof(JobRow)], one, more));
        var ask = EF.CompileAsyncQuery(Expression.Lambda<Func<PortalDb, int, int, int, int, int, int, int, Instant, IQueryable<JobRow>>>(each, [db, .. lanes, now]));
        return (db, of, now) => ask(db, Lane(of, 0), Lane(of, 1), Lane(of, 2), Lane(of, 3), Lane(of, 4), Lane(of, 5), Lane(of, 6), now);

        static int Lane(int[] of, int i) => i < of.Length ? of[i] : NoLane;
    }

    private static async Task<JobRow?> FirstDue(PortalDb db, int[] lanes, Instant now, CancellationToken stop)
    {
        JobRow? first = null;
        await foreach (var job in FirstOfLanes.Of(db)(db, lanes, now).WithCancellation(stop))
            if (first is null || Array.IndexOf(lanes, job.Lane) < Array.IndexOf(lanes, first.Lane)) first = job;
        return first;
    }

    // Parked and told of, both or neither. An alarm that cannot be raised raises no further one: it shows on the operations page and in /health.
    private static async Task Park(PortalDb db, JobRow job, string? failure, Instant now, CancellationToken stop)
    {
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var parked = await db.Jobs
            .Where(j => j.Id == job.Id && j.Attempts == job.Attempts && j.DoneAt == null && j.ParkedAt == null)
            .ExecuteUpdateAsync(set => set.SetProperty(j => j.ParkedAt, now).SetProperty(j => j.LastFailure, j => failure ?? j.LastFailure), stop);
        if (parked == 1 && job.Kind != JobRunner.JobParked)
        {
            db.Add(new JobRow { ClinicId = job.ClinicId, Kind = JobRunner.JobParked, Subject = job.Id.ToString(), DueAt = now, Lane = 0 });
            await db.SaveChangesAsync(stop);
        }

        await all.CommitAsync(stop);
    }
}
