using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Triage;
using NodaTime;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads an escalation policy from content.</summary>
internal static class EscalationReader
{
    private static readonly (string Key, Tier Tier)[] Tiers = [("emergency", Tier.Emergency), ("urgent", Tier.Urgent), ("same-day", Tier.SameDay)];

    /// <summary>Null, with faults added, when a time is missing or not a whole number of minutes from 1 to 1,440.</summary>
    internal static EscalationPolicy? Read(ContentDocument doc, List<ContentError> errors)
    {
        var before = errors.Count;
        var times = new Dictionary<Tier, TierTimes>();
        foreach (var (key, tier) in Tiers)
        {
            if (doc.Root["tiers"]?[key] is not JsonObject row)
            {
                doc.Fault(errors, $"/tiers/{key}", "This tier has no times; every tier above routine needs them.");
                continue;
            }

            Duration Minutes(string name)
            {
                if (row[name] is JsonValue value && value.TryGetValue<int>(out var minutes) && minutes is >= 1 and <= 1440) return Duration.FromMinutes(minutes);
                doc.Fault(errors, $"/tiers/{key}/{name}", "This must be a whole number of minutes from 1 to 1440.");
                return Duration.FromMinutes(1);
            }

            if (row["voice"] is not JsonValue flag || !flag.TryGetValue<bool>(out var voice))
            {
                doc.Fault(errors, $"/tiers/{key}/voice", "This must be true or false.");
                continue;
            }

            var alone = 2;
            if (row["alone_at_most"] is { } most && (most is not JsonValue count || !count.TryGetValue(out alone) || alone is < 1 or > 9))
                doc.Fault(errors, $"/tiers/{key}/alone_at_most", "This must be a whole number from 1 to 9.");
            var reminders = 1;
            if (row["reminders"] is { } often && (often is not JsonValue number || !number.TryGetValue(out reminders) || reminders is < 0 or > 9))
                doc.Fault(errors, $"/tiers/{key}/reminders", "This must be a whole number from 0 to 9.");
            times[tier] = new(
                Minutes("next_after_minutes"), Minutes("all_again_after_minutes"), Minutes("outcome_within_minutes"), voice,
                alone, row.ContainsKey("last_alone_after_minutes") ? Minutes("last_alone_after_minutes") : null, reminders);
        }

        if (doc.Root["test_page_within_minutes"] is not JsonValue test || !test.TryGetValue<int>(out var within) || within is < 1 or > 60)
        {
            doc.Fault(errors, "/test_page_within_minutes", "This must be a whole number of minutes from 1 to 60.");
            return null;
        }

        return errors.Count == before ? new(doc.Version, times) { TestPageWithin = Duration.FromMinutes(within) } : null;
    }
}
