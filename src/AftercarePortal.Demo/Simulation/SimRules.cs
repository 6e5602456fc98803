using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Features.Messages;
using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>What must hold after every event, and at the end, once faults have stopped.</summary>
internal sealed class SimRules(SimWorld world)
{
    private const string Open =
        """
        SELECT e.Id, e.Tier, e.TakenBy,
          EXISTS (SELECT 1 FROM Jobs j WHERE j.DoneAt IS NULL AND j.ParkedAt IS NULL AND j.Kind = 'ack-due' AND substr(j.Subject, 1, 36) = lower(e.Id)),
          EXISTS (SELECT 1 FROM Jobs j WHERE j.DoneAt IS NULL AND j.ParkedAt IS NULL AND j.Kind IN ('outcome-due', 'escalation-taken') AND substr(j.Subject, 1, 36) = lower(e.Id))
        FROM Escalations e WHERE e.ClosedAt IS NULL
        """;
    private readonly Dictionary<string, Tier> _tiers = [];
    private readonly Dictionary<string, SimChain> _chains = [];
    private readonly SimSteps _steps = new(world);

    /// <summary>A machine begins one job.</summary>
    public void Begins(string kind, string subject)
    {
        if (kind is MessageJobs.Send) _steps.Sends(Guid.Parse(subject));
    }

    private long _events, _readings;
    private int _answered;

    public Task Check()
    {
        Chains();
        foreach (var row in world.Rows.All(Open))
        {
            var (id, tier, taken) = ((string)row[0]!, Enum.Parse<Tier>((string)row[1]!), row[2] is not null);
            Hold(tier >= _tiers.GetValueOrDefault(id, Tier.Routine), "an urgency was lowered");
            _tiers[id] = tier;
            Hold(taken || (long)row[3]! == 1, "an open report has no next step due");
            Hold(!taken || (long)row[4]! == 1, "a taken report has no outcome due");
            Hold(_chains.TryGetValue(id, out var chain) && chain.Paged, "a report was opened and paged nobody");
            Hold(!chain!.MustConfirm || (long)row[3]! == 1, "a report got worse after it was taken, and nobody looks whether that is known");
        }

        Hold(world.Rows.Count("SELECT count(*) FROM (SELECT 1 FROM Escalations WHERE ClosedAt IS NULL GROUP BY Number HAVING count(*) > 1)") == 0, "one number has two open reports");
        Hold(world.Rows.Count("SELECT count(*) FROM Readings WHERE rowid > $0 AND EscalationId IS NULL AND Tier <> 'Routine'", _readings) == 0, "a warning was read and opened nothing");
        _readings = world.Rows.Count("SELECT max(rowid) FROM Readings");
        for (; _answered < world.Story.Answered.Count; _answered++)
            Hold(world.Rows.Count("SELECT count(*) FROM Messages WHERE CarrierId = $0", world.Story.Answered[_answered]) == 1, "a message the carrier was answered for is not kept exactly once");
        _steps.Check();
        return Task.CompletedTask;
    }

    public void CheckEnd()
    {
        foreach (var written in world.Stage.Carrier.All.Where(h => h.Inbound))
        {
            Hold(KeepsItsTime(written), "a text found late lost the time the carrier received it");
            Hold(world.Rows.Count("SELECT count(*) FROM Messages WHERE CarrierId = $0", written.Sid) == 1, "a message the carrier holds is not kept exactly once");
        }

        Hold(None("Messages m WHERE m.[To] = $0 AND NOT EXISTS (SELECT 1 FROM Readings r WHERE r.MessageId = m.Id)", SimClinic.ClinicNumber), "a message was kept and never read");
        Hold(None("Messages m WHERE m.[To] = $0 AND upper(m.Text) NOT IN ('STOP', 'START') AND NOT EXISTS (SELECT 1 FROM Outgoing o WHERE o.Key = 'reply:' || lower(m.Id) || ':0') AND NOT EXISTS (SELECT 1 FROM Readings r WHERE r.MessageId = m.Id AND r.Json LIKE '%texts in a short time%')", SimClinic.ClinicNumber), "a patient wrote and got no answer");
        Hold(None("Jobs WHERE ParkedAt IS NOT NULL"), "a job was given up");
        Hold(None("Escalations WHERE ClosedAt IS NULL AND TakenBy IS NULL") || !SomebodyCouldAnswer, "people answered, and a report stayed untaken");
        Hold(None("Outgoing WHERE State = 'Calling'"), "nobody looked after a text on the line");
        Hold(None("Steps WHERE State = 'Planned' AND NOT EXISTS (SELECT 1 FROM Jobs j WHERE j.Kind = 'send-step' AND j.Subject = lower(Steps.Id) AND j.DoneAt IS NULL AND j.ParkedAt IS NULL)"), "a planned step has no job");
    }

    /// <summary>Power failed: the rows are what they were a while ago, except that nothing answered for may be gone.</summary>
    public void Forget()
    {
        (_events, _readings, _answered) = (0, 0, 0);
        _chains.Clear();
        _tiers.Clear();
    }

    /// <summary>Jobs some worker holds now, with the number of its claim.</summary>
    public List<(string Job, long Claim)> Held() =>
        [.. world.Rows.All("SELECT Id, Attempts FROM Jobs WHERE DoneAt IS NULL AND ParkedAt IS NULL AND LeasedUntil > $0", (world.Now + world.Stage.Clock.Wrong + world.Apart).ToUnixTimeMilliseconds()).Select(r => ((string)r[0]!, (long)r[1]!))];

    public void StillHeld(List<(string Job, long Claim)> before)
    {
        foreach (var (job, claim) in before) Hold(world.Rows.Count("SELECT Attempts FROM Jobs WHERE Id = $0", job) == claim, "a job somebody holds was given to another");
    }

    internal static void Hold(bool holds, string rule)
    {
        if (!holds) throw new SimBroken(rule);
    }

    // The carrier counts in whole seconds; a machine whose clock is behind cannot have received what is not written yet.
    private bool KeepsItsTime(SimCarrier.Held written) =>
        world.Rows.Count("SELECT count(*) FROM Messages WHERE CarrierId = $0 AND RawForm = 'listed' AND WrittenAt <> $1 AND ReceivedAt >= $1", written.Sid, written.At.ToUnixTimeSeconds() * 1000) == 0;

    private bool None(string rows, params object[] values) => world.Rows.Count($"SELECT count(*) FROM {rows}", values) == 0;

    private bool SomebodyCouldAnswer => world.Rows.Count("SELECT count(*) FROM Shifts") > 0;

    private void Chains()
    {
        foreach (var row in world.Rows.All("SELECT rowid, EscalationId, What, Person FROM EscalationEvents WHERE rowid > $0 ORDER BY rowid", _events))
        {
            _events = (long)row[0]!;
            var id = (string)row[1]!;
            if (!_chains.TryGetValue(id, out var chain)) _chains[id] = chain = new(world, Guid.Parse(id));
            chain.Next((string)row[2]!, (string?)row[3]);
        }
    }
}
