using System.Globalization;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The chain of events of one escalation from what was stored: who was paged how, what arrived, who took it, what the patient was told.</summary>
internal sealed class ChainOfEvents(EscalationRow report, StaffNames names, DateTimeZone zone)
{
    private sealed record Out(OutgoingRow Row, DeliveryStanding Standing, DeliveryRow? Last);

    /// <summary>Reads it, oldest link first.</summary>
    public static async Task<(IReadOnlyList<ChainLink> Links, PatientReached Reached)> Of(PortalDb db, EscalationRow report, StaffNames names, DateTimeZone zone, CancellationToken stop)
    {
        var events = await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == report.Id).OrderBy(e => e.At).ThenBy(e => e.Id).ToListAsync(stop);
        string[] kinds = [.. new[] { "page", "remind", "more", "ring", "tell" }.Select(kind => $"{kind}:{report.Id}:")];
        var (page, remind, more, ring, tell) = (kinds[0], kinds[1], kinds[2], kinds[3], kinds[4]);
        var (opened, closed) = (report.OpenedAt, report.ClosedAt ?? Instant.MaxValue);
        var rows = await db.Outgoing.AsNoTracking().Where(o => o.Key.StartsWith(page) || o.Key.StartsWith(remind) || o.Key.StartsWith(more) || o.Key.StartsWith(ring) || o.Key.StartsWith(tell)).ToListAsync(stop);
        // Nobody checked the number of an intake: what went to it may be another person's.
        var replies = report.FromIntake ? [] : await db.Outgoing.AsNoTracking().Where(o => o.To == report.Number && o.Kind == OutgoingKind.SafetyReply && o.MadeAt >= opened).ToListAsync(stop);
        rows = [.. rows.Concat(replies.Where(o => o.MadeAt <= closed)).DistinctBy(o => o.Id).OrderBy(o => o.MadeAt).ThenBy(o => o.Id)];
        var ids = rows.ConvertAll(o => o.Id);
        var deliveries = (await db.Deliveries.AsNoTracking().Where(d => ids.Contains(d.OutgoingId)).OrderBy(d => d.ReceivedAt).ToListAsync(stop)).ToLookup(d => d.OutgoingId);
        var sent = rows.ConvertAll(o => new Out(o, DeliveryStandings.Of(deliveries[o.Id].Select(d => d.Status)), deliveries[o.Id].LastOrDefault(d => DeliveryStandings.Of([d.Status]) == DeliveryStandings.Of(deliveries[o.Id].Select(x => x.Status)))));
        var chain = new ChainOfEvents(report, names, zone);
        return (chain.Links(events, sent), PatientReached.Of(sent.FindLast(o => o.Row.Kind is OutgoingKind.SafetyReply) is { } last ? (last.Row, last.Standing) : null, chain.Wall));
    }

    private List<ChainLink> Links(List<EscalationEventRow> events, List<Out> sent)
    {
        var links = new List<ChainLink>();
        var round = 0;
        foreach (var happened in events)
        {
            var isPaging = happened.What is EscalationEvent.Paged or EscalationEvent.PagedEveryone or EscalationEvent.NobodyOnCall;
            // What became of one text stands beside that text.
            if (happened.OutgoingId is not null && happened.What is EscalationEvent.PatientTold) continue;
            if (isPaging) round++;
            var key = $"page:{report.Id}:{round}:";
            var pages = isPaging ? sent.Where(o => o.Row.Key.StartsWith(key, StringComparison.Ordinal)) : [];
            links.Add(new(
                happened.At, Wall(happened.At), happened.Person is { } person ? $"{EventWords.Of(happened.What)}: {names.Of(person)}" : EventWords.Of(happened.What),
                [.. pages.Select(Fared)], null, happened.What is EscalationEvent.PageNotDelivered or EscalationEvent.PatientCannotBeTexted or EscalationEvent.NobodyOnCall or EscalationEvent.Reopened));
        }

        foreach (var other in sent.Where(o => !o.Row.Key.StartsWith("page:", StringComparison.Ordinal)))
        {
            var toPatient = other.Row.Kind is OutgoingKind.SafetyReply;
            links.Add(new(other.Row.MadeAt, Wall(other.Row.MadeAt), toPatient ? "Text to the patient" : WhatFor(other.Row), [Fared(other)], toPatient ? other.Row.Text : null, IsBad(other)));
        }

        return [.. links.OrderBy(l => l.At)];
    }

    private string Fared(Out one)
    {
        var what = one.Row.Kind switch { OutgoingKind.PageCall => "call", _ => "text" };
        var to = PersonIn(one.Row.Key) is { } person ? $"{what} to {names.Of(person)}" : what;
        var at = one.Last is { } last ? $" {Wall(last.ReceivedAt)}" : "";
        return (one.Row.State, one.Standing) switch
        {
            (OutgoingState.Refused, _) => $"{to}: refused by the carrier{(one.Row.RefusedCode is { } code ? $" ({code})" : "")}",
            (_, DeliveryStanding.NotArrived) => $"{to}: {NotArrivedWords(one.Last!)}{at}",
            (_, DeliveryStanding.Arrived) => one.Row.Kind is OutgoingKind.PageCall ? $"{to}: answered or ended{at}" : $"{to}: arrived{at}",
            (_, DeliveryStanding.Sent) => $"{to}: sent{at}, not known whether it arrived",
            (OutgoingState.TooLate, _) => $"{to}: given up, the carrier could not be reached",
            (OutgoingState.Unclear, _) => $"{to}: nobody knows whether it went",
            (OutgoingState.Accepted, _) => $"{to}: with the carrier, nothing heard yet",
            _ => $"{to}: on its way to the carrier",
        };
    }

    private static string NotArrivedWords(DeliveryRow last) => last.Status switch
    {
        "busy" => "line busy",
        "no-answer" => "not answered",
        _ => last.ErrorCode is { } code ? $"did not arrive ({code})" : "did not arrive",
    };

    private static bool IsBad(Out one) => one.Standing is DeliveryStanding.NotArrived || one.Row.State is OutgoingState.Refused or OutgoingState.TooLate;

    private static string WhatFor(OutgoingRow row) => row.Key.Split(':')[0] switch
    {
        "remind" => "Reminder of the outcome",
        "more" => "Told that the patient wrote again",
        _ => "Asked to ring the patient",
    };

    // kind:escalation:round:person:way; a person's id may hold anything.
    private static string? PersonIn(string key) => key.Split(':') is ["page" or "remind" or "more", _, _, .. var person, _] ? string.Join(':', person) : null;

    private string Wall(Instant at) => at.InZone(zone).ToString("d MMM HH:mm:ss", CultureInfo.InvariantCulture);
}
