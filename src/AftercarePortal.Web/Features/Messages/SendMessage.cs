using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Hands one stored text or call to the carrier.</summary>
/// <remarks>
/// The row says "calling" in the database before the carrier hears of it. A restart that finds "calling" does not know what
/// happened, and asks the carrier's list first. What it does not list decides by class: pages and safety replies go out again
/// (a double is harmless, silence is not), an everyday text never does: it is looked for until a list is read to its end, then a person sees it.
/// </remarks>
internal sealed class SendMessage(PortalDb db, TwilioCarrier carrier, IOptions<CarrierOptions> options, SenderPace pace, SealedWords words, IEnumerable<ILastLook> looks, TimeProvider time) : IJobHandler
{
    /// <summary>The carrier holds a STOP of this number (messaging dossier 1.5).</summary>
    private const int OptedOut = 21610;
    private static readonly Duration Pause = Duration.FromSeconds(3), EverydayPause = Duration.FromSeconds(30), LookFor = Duration.FromMinutes(1), Skew = Duration.FromMinutes(1);

    public string Kind => MessageJobs.Send;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        var outgoing = await db.Outgoing.SingleAsync(o => o.Id == id, stop);
        if (outgoing.State is OutgoingState.Accepted or OutgoingState.Refused or OutgoingState.HeldBack or OutgoingState.TooLate) return;
        if (outgoing.State is OutgoingState.Calling or OutgoingState.Unclear && await WasTaken(outgoing, stop))
        {
            await db.SaveChangesAsync(stop);
            return;
        }

        var now = time.GetCurrentInstant();
        if (outgoing.Kind.IsEveryday && await LastLookAt(outgoing, now, stop) is not LastLook.Go and var look)
        {
            if (look is LastLook.Later later) db.Enqueue(MessageJobs.Send, subject, later.At, lane: 9);
            else outgoing.State = OutgoingState.HeldBack;
            await db.SaveChangesAsync(stop);
            return;
        }

        if (outgoing.Kind.IsEveryday && await QuietUntil(outgoing, stop) is { } morning)
        {
            // It was let go in time and we were away since.
            db.Enqueue(MessageJobs.Send, subject, morning, lane: 9);
            await db.SaveChangesAsync(stop);
            return;
        }

        if (outgoing.Kind.IsEveryday && pace.MayGoAt(outgoing.From, now) is var goesAt && goesAt > now)
        {
            db.Enqueue(MessageJobs.Send, subject, goesAt, lane: 9);
            await db.SaveChangesAsync(stop);
            return;
        }

        outgoing.State = OutgoingState.Calling;
        outgoing.FirstTriedAt ??= now;
        await db.SaveChangesAsync(stop);
        var outcome = await Send(outgoing, stop);

        outgoing.AnsweredAt = time.GetCurrentInstant();
        switch (outcome)
        {
            case SendOutcome.Accepted accepted:
                Accept(outgoing, accepted.Sid, outgoing.AnsweredAt.Value);
                break;
            case SendOutcome.Refused refused:
                outgoing.State = OutgoingState.Refused;
                outgoing.RefusedCode = refused.Code;
                if (refused.Code is OptedOut && outgoing.Kind is not (OutgoingKind.PageText or OutgoingKind.PageCall))      // no message told us of it
                    db.Add(new OptOutRow { ClinicId = outgoing.ClinicId, Number = outgoing.To, MessageId = outgoing.Id, Stopped = true, At = outgoing.AnsweredAt.Value });
                db.Enqueue(MessageJobs.NotDelivered, subject, outgoing.AnsweredAt.Value, lane: 0);
                break;
            case SendOutcome.NotTaken:
                Repeat(outgoing, OutgoingState.Pending);
                break;
            default:
                Repeat(outgoing, OutgoingState.Unclear);
                break;
        }

        await db.SaveChangesAsync(stop);
    }

    // Looks for a text of which nobody knows. True: nothing is to be sent.
    private async Task<bool> WasTaken(OutgoingRow outgoing, CancellationToken stop)
    {
        var (isListed, found) = await FoundAtTheCarrier(outgoing, stop);
        var now = time.GetCurrentInstant();
        if (found is not null)
        {
            outgoing.AnsweredAt = now;
            Accept(outgoing, found.Sid, found.At ?? now);
            if (!HeardOf.IsSilence([found.Status]) && !await db.Deliveries.AnyAsync(d => d.OutgoingId == outgoing.Id && d.Status == found.Status, stop)) db.NoteStatus(outgoing, found.Status, found.ErrorCode, now);
            return true;
        }

        if (!outgoing.Kind.IsEveryday) return false;
        // The list is away, or lags behind a restart: once more. In a list that was whole and had a minute: a person sees it.
        var soon = (outgoing.FirstTriedAt ?? outgoing.MadeAt) + Duration.FromSeconds(ValiditySeconds(outgoing.Kind)) > now;
        if (soon && (outgoing.State is OutgoingState.Calling || !isListed)) db.Enqueue(MessageJobs.Send, outgoing.Id.ToString(), now + LookFor, lane: 9);
        outgoing.State = OutgoingState.Unclear;
        return true;
    }

    private void Accept(OutgoingRow outgoing, string sid, Instant taken)
    {
        (outgoing.State, outgoing.CarrierId) = (OutgoingState.Accepted, sid);
        HeardOf.LookAt(db, outgoing, taken);
    }

    private async Task<LastLook> LastLookAt(OutgoingRow outgoing, Instant now, CancellationToken stop)
    {
        foreach (var one in looks)
            if (await one.At(outgoing, now, stop) is { } look) return look;
        return await db.HasStopped(outgoing.To, stop) ? new LastLook.Never() : new LastLook.Go();
    }

    // A page that comes late misleads: past its validity it is not repeated, and counts as not delivered.
    // An everyday text may have waited for the morning or its turn: it is repeated for as long from when it was first tried.
    private void Repeat(OutgoingRow outgoing, OutgoingState state)
    {
        var now = outgoing.AnsweredAt!.Value;
        var since = outgoing.Kind.IsEveryday ? outgoing.FirstTriedAt!.Value : outgoing.MadeAt;
        var inTime = now < since + Duration.FromSeconds(ValiditySeconds(outgoing.Kind));
        var again = inTime && (state is OutgoingState.Pending || !outgoing.Kind.IsEveryday);
        // What may have gone out is never called not sent: it is looked for.
        outgoing.State = again || inTime || (state is OutgoingState.Unclear && outgoing.Kind.IsEveryday) ? state : OutgoingState.TooLate;
        if (again) db.Enqueue(MessageJobs.Send, outgoing.Id.ToString(), now + (outgoing.Kind.IsEveryday ? EverydayPause : Pause), lane: outgoing.Kind.Lane);
        else if (state is OutgoingState.Unclear && outgoing.Kind.IsEveryday) db.Enqueue(MessageJobs.Send, outgoing.Id.ToString(), now + LookFor, lane: 9);      // to look for it, never to repeat it
        else if (!outgoing.Kind.IsEveryday) db.Enqueue(MessageJobs.NotDelivered, outgoing.Id.ToString(), now, lane: 0);
    }

    private async Task<Instant?> QuietUntil(OutgoingRow outgoing, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == outgoing.ClinicId, stop);
        var open = new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, DateTimeZoneProviders.Tzdb[clinic.Zone]);
        return open > now ? open : null;
    }

    // The same words may have gone to the same person before: a text another row knows as its own is not this one.
    private async Task<(bool IsListed, SentText? Found)> FoundAtTheCarrier(OutgoingRow outgoing, CancellationToken stop)
    {
        if (outgoing.Kind is OutgoingKind.PageCall) return (false, null);
        try
        {
            var listed = await carrier.FindSent(outgoing.To, words.Open(outgoing.Text), outgoing.MadeAt - Skew);
            var known = await db.Outgoing.Where(o => o.To == outgoing.To && o.CarrierId != null).Select(o => o.CarrierId!).ToListAsync(stop);
            return (true, listed.FirstOrDefault(t => !known.Contains(t.Sid)));
        }
        catch (Twilio.Exceptions.TwilioException)
        {
            return (false, null);                                               // no list: a page goes out again, an everyday text is looked for later
        }
    }

    private Task<SendOutcome> Send(OutgoingRow outgoing, CancellationToken stop)
    {
        var callback = new Uri(new Uri(options.Value.PublicUrl), $"/carrier/delivery?o={outgoing.Id}");
        return outgoing.Kind is OutgoingKind.PageCall
            ? carrier.Call(outgoing.From, outgoing.To, outgoing.Text, callback, stop)
            : carrier.SendText(outgoing.From, outgoing.To, words.Open(outgoing.Text), callback, ValiditySeconds(outgoing.Kind), stop);
    }

    /// <summary>How long the carrier may hold a text, and how long we repeat it or a call, in seconds: a page nine hours late misleads.</summary>
    private static int ValiditySeconds(OutgoingKind kind) => kind switch
    {
        OutgoingKind.PageText or OutgoingKind.PageCall => 120,
        OutgoingKind.SafetyReply => 900,
        _ => 14_400,
    };
}
