using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Shared;
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
        var events = (await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == report.Id).ToListAsync(stop)).InOrder().ToList();
        var (opened, closed) = (report.OpenedAt, report.ClosedAt ?? Instant.MaxValue);
        var rows = await db.Outgoing.AsNoTracking().Where(o => o.ReportId == report.Id).ToListAsync(stop);
        // Also what went to the number she wrote from before it was changed. Nobody checked the number of an intake: what went to it may be another person's.
        List<string> numbers = [report.Number, .. await db.Readings.Where(r => r.EscalationId == report.Id).Join(db.Messages, r => r.MessageId, m => m.Id, (r, m) => m.From).Distinct().ToListAsync(stop)];
        var replies = report.FromIntake ? [] : await db.Outgoing.AsNoTracking().Where(o => numbers.Contains(o.To) && o.Kind == OutgoingKind.SafetyReply && o.MadeAt >= opened).ToListAsync(stop);
        rows = [.. rows.Concat(replies.Where(o => o.MadeAt <= closed)).DistinctBy(o => o.Id).OrderBy(o => o.MadeAt).ThenBy(o => o.Id)];
        var ids = rows.ConvertAll(o => o.Id);
        var deliveries = (await db.Deliveries.AsNoTracking().Where(d => ids.Contains(d.OutgoingId)).OrderBy(d => d.ReceivedAt).ToListAsync(stop)).ToLookup(d => d.OutgoingId);
        var sent = rows.ConvertAll(o => new Out(o, DeliveryStandings.Of(deliveries[o.Id].Select(d => d.Status)), deliveries[o.Id].LastOrDefault(d => DeliveryStandings.Of([d.Status]) == DeliveryStandings.Of(deliveries[o.Id].Select(x => x.Status)))));
        var chain = new ChainOfEvents(report, names, zone);
        return (chain.Links(events, sent), PatientReached.Of(sent.FindLast(o => o.Row is { Kind: OutgoingKind.SafetyReply, State: not OutgoingState.HeldBack }) is { } last ? (last.Row, last.Standing) : null, chain.Wall));
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
                [.. pages.Select(Fared)], null, happened.What is EscalationEvent.PageNotDelivered or EscalationEvent.PatientCannotBeTexted or EscalationEvent.PhotoNotFetched or EscalationEvent.NobodyOnCall or EscalationEvent.Reopened));
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
        var to = PageKey.Of(one.Row.Key)?.Person is { } person ? $"{what} to {names.Of(person)}" : what;
        var at = one.Last is { } last ? $" {Wall(last.ReceivedAt)}" : "";
        return (one.Row.State, one.Standing) switch
        {
            (OutgoingState.Refused, _) => $"{to}: refused by the carrier{(one.Row.RefusedCode is { } code ? $" ({code})" : "")}",
            (_, DeliveryStanding.NotArrived) => $"{to}: {NotArrivedWords(one.Last!)}{at}",
            (_, DeliveryStanding.Arrived) => one.Row.Kind is OutgoingKind.PageCall ? $"{to}: answered or ended{at}" : $"{to}: arrived{at}",
            (_, DeliveryStanding.Sent) => $"{to}: sent{at}, not known whether it arrived",
            (OutgoingState.HeldBack, _) when one.Row.Kind is OutgoingKind.SafetyReply => $"{to}: not sent, it was so no more before it went",
            (OutgoingState.HeldBack, _) => $"{to}: not sent, the report was taken or closed before it went",
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
        PageKey.Reminded => "Reminder of the outcome",
        PageKey.MoreWritten => "Told that the patient wrote again",
        _ => "Asked to ring the patient",
    };

    private string Wall(Instant at) => Plain.Seconds(at.InZone(zone));
}
