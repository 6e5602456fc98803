using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>What must hold after every event, and at the end, once faults have stopped.</summary>
internal sealed class Sim_rules
{
    private readonly Dictionary<Guid, Tier> _tiers = [];
    private int _checkedSteps;

    public async Task<int> Check(PortalDb db, Sim_wire wire, Instant now)
    {
        var jobs = await db.Jobs.AsNoTracking().Where(j => j.DoneAt == null && j.ParkedAt == null).ToListAsync();
        foreach (var open in await db.Escalations.AsNoTracking().Where(e => e.ClosedAt == null).ToListAsync())
        {
            Hold(open.Tier >= _tiers.GetValueOrDefault(open.Id, Tier.Routine), "an urgency was lowered");
            _tiers[open.Id] = open.Tier;
            var mine = jobs.Where(j => j.Subject.StartsWith(open.Id.ToString(), StringComparison.Ordinal)).ToList();
            Hold(open.TakenBy is not null || mine.Exists(j => j.Kind == EscalationJobs.AckDue), "an open report has no next step due");
            Hold(open.TakenBy is null || mine.Exists(j => j.Kind is EscalationJobs.OutcomeDue or EscalationJobs.Taken), "a taken report has no outcome due");
            var events = await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == open.Id).OrderBy(e => e.At).ThenBy(e => e.Id).ToListAsync();
            Hold(events.Exists(e => e.What is EscalationEvent.Paged or EscalationEvent.PagedEveryone or EscalationEvent.NobodyOnCall), "a report was opened and paged nobody");
            var takers = 0;
            foreach (var e in events)
            {
                if (e.What is EscalationEvent.Reopened) takers = 0;
                if (e.What is EscalationEvent.Taken) Hold(++takers == 1, "two people took one report");
            }
        }

        Hold(!await db.Readings.AnyAsync(r => r.EscalationId == null && r.Tier != Tier.Routine), "a warning was read and opened nothing");
        Hold(wire.Fates.Values.All(f => f.Taken <= 1 + f.Unknown), "a text was sent again after a clear answer");
        await Steps(db, wire, now);
        return 0;
    }

    public async Task<int> CheckEnd(PortalDb db, Sim_wire wire)
    {
        var kept = (await db.Messages.Select(m => m.CarrierId).ToListAsync()).ToLookup(id => id);
        foreach (var written in wire.All.Where(h => h.Inbound)) Hold(kept[written.Sid].Count() == 1, "a message the carrier holds is not kept exactly once");
        var readings = db.Readings;
        Hold(!await db.Messages.AnyAsync(m => m.To == "+12025550100" && !readings.Any(r => r.MessageId == m.Id)), "a message was kept and never read");
        Hold(!await db.Jobs.AnyAsync(j => j.ParkedAt != null), "a job was given up");
        return 0;
    }

    private async Task Steps(PortalDb db, Sim_wire wire, Instant now)
    {
        foreach (var sent in wire.All.Skip(_checkedSteps).Where(h => !h.Inbound))
        {
            if (await db.Outgoing.Where(o => o.Id == sent.Outgoing).Select(o => o.Kind).SingleAsync() is not OutgoingKind.Step) continue;
            Hold(wire.Fates[sent.Outgoing].Taken == 1, "an aftercare step was sent twice");
            var hour = sent.At.InZone(DateTimeZoneProviders.Tzdb["America/New_York"]).TimeOfDay;
            Hold(hour >= new LocalTime(8, 0) && hour < new LocalTime(21, 1), "an aftercare step went out in quiet hours");
            var last = await (from m in db.Messages
                              join r in db.Readings on m.Id equals r.MessageId
                              where m.From == sent.To && (m.Text == "STOP" || m.Text == "START") && r.ReadAt < sent.At
                              orderby r.ReadAt descending
                              select m.Text).FirstOrDefaultAsync();
            Hold(last is not "STOP", "an aftercare step went out after a STOP");
        }

        _checkedSteps = wire.All.Count;
    }

    private static void Hold(bool holds, string rule)
    {
        if (!holds) throw new Sim_broken(rule);
    }
}
