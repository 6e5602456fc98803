using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Gives an open report its timer back when it has none, and a message to a person when reading it was given up: nobody would be paged or reminded any more.</summary>
/// <remarks>Where the fault lasts, the new timer is given up too, and each time staff are alarmed.</remarks>
internal sealed class TimerWatch(IServiceScopeFactory scopes, TimeProvider time, ILogger<TimerWatch> log) : Rounds(TimeSpan.FromMinutes(1), log)
{
    /// <summary>Looks at every open report of every clinic once, and at every reading that was given up.</summary>
    /// <returns>How many jobs it stored.</returns>
    public async Task<int> Run(CancellationToken stop)
    {
        List<Guid> clinics;
        await using (var scope = scopes.CreateAsyncScope())
            clinics = await scope.ServiceProvider.GetRequiredService<PortalDb>().Clinics.Select(c => c.Id).ToListAsync(stop);
        var stored = 0;
        foreach (var clinic in clinics)
        {
            await Guarded(async () => stored += await GiveUnread(clinic, stop), stop);
            var open = new List<Guid>();
            await Guarded(async () => open = await WithoutTimer(clinic, stop), stop);
            foreach (var report in open) await Guarded(async () => stored += await StoreTimer(clinic, report, stop), stop);
        }

        return stored;
    }

    protected override Task Round(CancellationToken stop) => Run(stop);

    // The alarm that gives it to a person may itself have been given up.
    private async Task<int> GiveUnread(Guid clinic, CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        var db = Of(scope, clinic);
        var stored = 0;
        foreach (var given in await db.Jobs.Where(j => j.ClinicId == clinic && UnreadReading.OfWords.Contains(j.Kind) && j.ParkedAt != null && j.DoneAt == null).Select(j => new { j.Kind, j.Subject }).Distinct().ToListAsync(stop))
            if (await db.GiveUnread(given.Kind, given.Subject, time.GetCurrentInstant(), stop)) stored++;
        await db.SaveChangesAsync(stop);
        return stored;
    }

    // A first look that holds nothing: what it finds is looked at again, held.
    private async Task<List<Guid>> WithoutTimer(Guid clinic, CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        var db = Of(scope, clinic);
        var open = await db.Escalations.AsNoTracking().Where(e => e.ClosedAt == null).ToListAsync(stop);
        if (open.Count == 0) return [];
        var ids = open.ConvertAll(e => e.Id);
        var events = (await db.EscalationEvents.AsNoTracking().Where(e => ids.Contains(e.EscalationId)).ToListAsync(stop)).ToLookup(e => e.EscalationId);
        var waiting = (await Waiting(db, stop)).ToHashSet();
        return [.. open.Where(e => Missing(e, [.. events[e.Id]], waiting).Any()).Select(e => e.Id)];
    }

    private async Task<int> StoreTimer(Guid clinic, Guid id, CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        var db = Of(scope, clinic);
        var policy = scope.ServiceProvider.GetRequiredService<ContentLibrary>().Policy;
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.Escalations.Where(e => e.Id == id).ExecuteUpdateAsync(set => set.SetProperty(e => e.Ref, e => e.Ref), stop);
        var report = await db.Escalations.AsNoTracking().SingleAsync(e => e.Id == id, stop);
        if (report.ClosedAt is not null) return 0;
        var events = await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == id).ToListAsync(stop);
        var (now, stored) = (time.GetCurrentInstant(), 0);
        foreach (var (kind, subject) in Missing(report, events, (await Waiting(db, stop)).ToHashSet()))
        {
            var due = kind is EscalationJobs.OutcomeDue && policy.Times.TryGetValue(report.Tier, out var times) ? Instant.Max(now, (report.TakenAt ?? now) + times.OutcomeWithin) : now;
            db.Enqueue(kind, subject, due, kind is EscalationJobs.AckDue ? 0 : 1);
            stored++;
        }

        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return stored;
    }

    private static IEnumerable<(string Kind, string Subject)> Missing(EscalationRow report, IReadOnlyCollection<EscalationEventRow> events, IReadOnlySet<(string Kind, string Subject)> waiting)
    {
        var needed = new List<(string Kind, string Subject)>();
        if (report.TakenBy is null) needed.Add((EscalationJobs.AckDue, Timer.Subject(report.Id, PagingRound.Of(events))));
        else if (report.ConfirmRound is { } round && !Enumerable.Range(1, round).Any(r => !PagingRound.IsAnswered(events, r) && waiting.Contains((EscalationJobs.AckDue, Timer.Subject(report.Id, r)))))
            needed.Add((EscalationJobs.AckDue, Timer.Subject(report.Id, round)));
        // Just taken: the outcome gets its time together with the words to the patient.
        if (report.TakenBy is not null && !waiting.Contains((EscalationJobs.Taken, report.Id.ToString())))
            needed.Add((EscalationJobs.OutcomeDue, Timer.Subject(report.Id, PagingRound.OutcomeOf(events))));
        return needed.Where(n => !waiting.Contains(n));
    }

    private static async Task<IEnumerable<(string Kind, string Subject)>> Waiting(PortalDb db, CancellationToken stop) =>
        (await db.Jobs.AsNoTracking()
            .Where(j => j.ClinicId == db.ClinicId && j.Lane <= JobTable.ReadLane && j.DoneAt == null && j.ParkedAt == null
                && (j.Kind == EscalationJobs.AckDue || j.Kind == EscalationJobs.OutcomeDue || j.Kind == EscalationJobs.Taken))
            .Select(j => new { j.Kind, j.Subject }).ToListAsync(stop)).Select(j => (j.Kind, j.Subject));

    private static PortalDb Of(AsyncServiceScope scope, Guid clinic)
    {
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return scope.ServiceProvider.GetRequiredService<PortalDb>();
    }
}
