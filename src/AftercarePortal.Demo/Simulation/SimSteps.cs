using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>What must hold for every text the carrier took: no double after a clear answer, steps only when they may go, no clinical word where it does not belong.</summary>
internal sealed class SimSteps(SimWorld world)
{
    private readonly Dictionary<Guid, List<string>> _reportsBefore = [];
    private int _checked;
    private long _optOuts;

    /// <summary>A machine begins to send a text: what is open now it can know.</summary>
    public void Sends(Guid outgoing) =>
        _reportsBefore[outgoing] = world.Rows.All("SELECT e.Id FROM Escalations e, Outgoing o WHERE o.Id = $0 AND o.Kind = 'Step' AND e.Number = o.[To] AND e.ClosedAt IS NULL AND e.Tier IN ('Emergency', 'Urgent')", Text(outgoing)).ConvertAll(r => (string)r[0]!);

    public void Check()
    {
        foreach (var sent in world.Stage.Carrier.All.Skip(_checked).Where(h => !h.Inbound))
        {
            var rows = world.Rows.All("SELECT Kind, MadeAt FROM Outgoing WHERE Id = $0", Text(sent.Outgoing));
            SimRules.Hold(rows.Count == 1, "a text went out that is not kept");
            var row = rows[0];
            var (kind, fate) = ((string)row[0]!, world.Stage.Carrier.Fates[sent.Outgoing]);
            SimRules.Hold(!sent.Text.Contains("zebra", StringComparison.Ordinal), "a text repeats a patient's words");
            SimRules.Hold(fate.Taken <= 1 || fate.Taken <= 1 + fate.Unknown + Lost(sent.Outgoing), "a text was sent again after a clear answer");
            if (kind is not "Step") continue;
            SimRules.Hold(fate.Taken == 1, "an aftercare step was sent twice");
            var hour = (sent.At + world.Stage.Clock.Wrong).InZone(DateTimeZoneProviders.Tzdb[world.Story.Zone]).TimeOfDay;
            SimRules.Hold(hour.PlusMilliseconds((long)world.Apart.TotalMilliseconds) >= SimClinic.QuietTo && hour < SimClinic.QuietFrom.PlusMinutes(2), "an aftercare step went out in quiet hours");
            SimRules.Hold(_reportsBefore[sent.Outgoing].TrueForAll(id => world.Rows.Count("SELECT count(*) FROM Escalations WHERE Id = $0 AND ClosedAt IS NULL", id) == 0), "an aftercare step went out though an urgent report had come since it was let go");
            SimRules.Hold(NamesItsDay(sent), "an aftercare step named another day than the one it went out on");
            // A STOP read in the very moment the text was on its way could not be known.
            SimRules.Hold(world.Rows.Count("SELECT Stopped FROM OptOuts WHERE Number = $0 AND rowid <= $1 ORDER BY At DESC, Id DESC LIMIT 1", sent.To, _optOuts) == 0, "an aftercare step went out after a STOP");
            SimRules.Hold(world.Rows.Count("SELECT count(*) FROM Escalations e WHERE e.Number = $0 AND e.Tier IN ('Emergency', 'Urgent') AND e.OpenedAt < $1 - $2 AND (e.ClosedAt IS NULL OR e.ClosedAt > $1 + $2) AND NOT EXISTS (SELECT 1 FROM EscalationEvents v WHERE v.EscalationId = e.Id AND v.What = 'Raised' AND v.At >= $1 - $2)", sent.To, (long)row[1]!, (long)world.Apart.TotalMilliseconds) == 0, "an aftercare step was let go while an urgent report was open");
        }

        _checked = world.Stage.Carrier.All.Count;
        _optOuts = world.Rows.Count("SELECT max(rowid) FROM OptOuts");
    }

    private bool NamesItsDay(SimCarrier.Held sent)
    {
        if (sent.Text.Split(' ', ':') is not ["Day", var named, ..]) return true;
        var zone = DateTimeZoneProviders.Tzdb[world.Story.Zone];
        var due = Instant.FromUnixTimeMilliseconds(world.Rows.Count("SELECT s.DueAt FROM Steps s, Outgoing o WHERE o.Id = $0 AND o.Key = 'step:' || lower(s.Id)", Text(sent.Outgoing)));
        var today = Math.Max(0, Period.DaysBetween(due.InZone(zone).Date, (sent.At + world.Stage.Clock.Wrong).InZone(zone).Date));
        return named == today.ToString(System.Globalization.CultureInfo.InvariantCulture);
    }

    // Tries whose worker died or lost its lease: nobody can know what they did.
    private long Lost(Guid outgoing) => world.Rows.Count("SELECT sum(Attempts - 1) FROM Jobs WHERE Kind = 'send-message' AND Subject = $0", outgoing.ToString());

    private static string Text(Guid id) => id.ToString().ToUpperInvariant();
}
