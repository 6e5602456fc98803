using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>For staff: what became of the texts that say there is word on a private page, and whom nobody has told.</summary>
internal sealed class Told(PortalDb db, IReachSender reach, ClinicClock clock, TimeProvider time)
{
    /// <summary>Somebody who hears of a change sooner than so long before a visit would begin can still stay at home (a design choice without a source).</summary>
    public static readonly Duration Ahead = Duration.FromHours(2);

    /// <summary>What nobody was told so soon before it begins is said in red: who wants no texts is rung anyway (a design choice without a source).</summary>
    private static readonly Duration Soon = Duration.FromDays(2);

    /// <summary>One notice.</summary>
    /// <param name="About">What it was about.</param>
    /// <param name="Became">What became of its text.</param>
    /// <param name="Ring">Nobody has told the person, and it cannot wait: why, else null.</param>
    internal sealed record Line(string About, string Became, string? Ring);

    /// <summary>How the person is reached now, and the latest notice of each kind.</summary>
    public async Task<(Reached Reached, IReadOnlyList<Line> Lines)> Of(IntakeRow intake, CancellationToken stop)
    {
        var id = intake.Id;
        var now = time.GetCurrentInstant();
        var clinicRow = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == intake.ClinicId, stop);
        var clinic = (Quiet: new QuietHours(clinicRow.QuietFrom, clinicRow.QuietTo), Zone: DateTimeZoneProviders.Tzdb[clinicRow.Zone]);
        var reached = await reach.Of(intake, stop);
        var lines = new List<Line>();

        if (await db.Decisions.AsNoTracking().Where(d => d.IntakeId == id && !d.CorrectsSender).MaxAsync(d => (int?)d.Number, stop) is { } decision)
            lines.Add(new("The clinic's answer", (await Became($"decision:{id}:{decision}")).Words, null));
        if (await db.Questions.AsNoTracking().Where(q => q.IntakeId == id && q.Further == null).OrderByDescending(q => q.Number).FirstOrDefaultAsync(stop) is { IsOpen: true } question)
            lines.Add(new("Your question", (await Became($"question:{id}:{question.Number}")).Words, null));
        if (await db.Visits.AsNoTracking().Where(v => v.IntakeId == id).OrderByDescending(v => v.Number).ToListAsync(stop) is [var visit, .. var before])
        {
            var (words, at) = await Became($"visit:{id}:{visit.Number}");
            // Whoever was told of an earlier beginning, by a text or at the desk, comes then: all count back to the last that a text told of.
            var begins = visit.StartsAt;
            foreach (var earlier in before)
            {
                if (!earlier.Cancelled && earlier.StartsAt > now - Ahead) begins = Instant.Min(begins, earlier.StartsAt);
                if ((await Became($"visit:{id}:{earlier.Number}")).At is { } then && then <= now) break;
            }

            var inTime = at is { } told && told <= begins - Ahead;
            lines.Add(new(
                visit.Cancelled ? "The visit was called off" : before.Count > 0 ? "The visit was moved" : "The invitation to a visit", words,
                inTime || begins <= now - Ahead || begins > now + Soon ? null : $"No text tells this person of it in time: the visit {(visit.Cancelled ? "would begin" : begins == visit.StartsAt ? "begins" : "was to begin")} on {await clock.Say(begins)}. Ring {reached.Number} now."));
        }

        var links = SendLink.KeyOf($"{id}:");
        if (await db.Outgoing.AsNoTracking().Where(o => o.Key.StartsWith(links)).OrderByDescending(o => o.MadeAt).ThenByDescending(o => o.Id).Select(o => o.Key).FirstOrDefaultAsync(stop) is { } link)
            lines.Add(new("A new private link", (await Became(link)).Words, null));
        return (reached, lines);

        // What became of a text, and when it was or would be there; null: no text tells the person.
        async Task<(string Words, Instant? At)> Became(string key)
        {
            if (await db.Outgoing.AsNoTracking().SingleOrDefaultAsync(o => o.Key == key, stop) is not { } text) return ("no text was sent, for none was agreed to: ring.", null);
            var goes = clinic.Quiet.MoveOut(text.MadeAt, clinic.Zone);
            switch (text.State)
            {
                case OutgoingState.Pending when !reached.MayText: return ($"no text will be sent: {reached.InWords}.", null);
                case OutgoingState.Pending or OutgoingState.Calling: return ($"a text waits to be sent, not before {await clock.Say(goes)}.", Instant.Max(goes, now));
                case OutgoingState.Accepted:
                    var reports = await db.Deliveries.AsNoTracking().Where(d => d.OutgoingId == text.Id).Select(d => d.Status).ToListAsync(stop);
                    var sent = $"a text was sent to {text.To} on {await clock.Say(text.AnsweredAt!.Value)}";
                    if (text.To != reached.Number) return ($"{sent}, which is not this person's number now: ring.", null);
                    return DeliveryStandings.Of(reports) switch
                    {
                        DeliveryStanding.NotArrived => ($"{sent} and did not arrive: ring.", null),
                        DeliveryStanding.Arrived => ($"{sent} and arrived.", text.AnsweredAt),
                        _ => ($"{sent}; that it arrived is not known.", text.AnsweredAt),
                    };
                case OutgoingState.HeldBack: return ($"the text was not sent: {(reached.MayText ? "none was wanted when it was due" : reached.InWords)}.", null);
                case OutgoingState.Refused: return ($"the text was not sent, the carrier refused it{(text.RefusedCode is { } code ? $" (its code {code})" : "")}: ring.", null);
                case OutgoingState.Unclear: return ("nobody knows whether the text went: ring.", null);
                default: return ("the text was not sent in time: ring.", null);
            }
        }
    }
}
