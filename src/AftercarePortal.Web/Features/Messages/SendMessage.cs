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
/// Steps that wait are handed over together, as many as may be lost from sight when the process is killed with all of them on the line.
/// </remarks>
internal sealed class SendMessage(PortalDb db, TwilioCarrier carrier, IOptions<CarrierOptions> options, SenderPace pace, SealedWords words, IEnumerable<ILastLook> looks, TimeProvider time) : IJobsTogether
{
    /// <summary>The carrier holds a STOP of this number (messaging dossier 1.5).</summary>
    private const int OptedOut = 21610;
    private static readonly Duration Pause = Duration.FromSeconds(3), Least = Duration.FromSeconds(1), MostForUrgent = Duration.FromSeconds(10), EverydayPause = Duration.FromSeconds(30), LookFor = Duration.FromMinutes(1), Skew = Duration.FromMinutes(1);

    public string Kind => MessageJobs.Send;

    /// <summary>Most steps one worker has on the line. What it may lose from sight when its process is killed: each of them is looked for, and a person sees what is not found.</summary>
    public const int AtOnce = 24;

    public int Most => AtOnce;

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
        if (!await Begins(outgoing, now, stop)) return;
        Conclude(outgoing, await Send(outgoing, stop), now);
        await db.SaveChangesAsync(CancellationToken.None);                         // what the carrier answered is kept, also when the portal is to stop
    }

    /// <inheritdoc />
    /// <remarks>Only steps that wait, one for each number: what else there is, or may be on the line already, goes alone.</remarks>
    public async Task<IReadOnlyCollection<string>> Run(IReadOnlyList<string> subjects, Instant until, CancellationToken stop)
    {
        var ids = subjects.ToDictionary(Guid.Parse);
        var rows = await db.Outgoing.Where(o => ids.Keys.Contains(o.Id) && o.Kind == OutgoingKind.Step && o.State == OutgoingState.Pending).ToDictionaryAsync(o => o.Id, stop);
        var texts = ids.Keys.Where(rows.ContainsKey).Select(id => rows[id]).DistinctBy(o => o.To).ToList();
        var now = time.GetCurrentInstant();
        var may = await MayGo(texts, now, stop);
        var go = may.DistinctBy(o => o.To).ToList();                               // the last look may have given two of them one number
        var done = texts.Except(may.Except(go)).ToList();
        var tried = go.ConvertAll(o => o.FirstTriedAt);
        await Begin(go, now, stop);

        if (time.GetCurrentInstant() >= until || stop.IsCancellationRequested)
        {
            // The database took so long that the lease might not last: none was handed over, and none is on the line.
            foreach (var (outgoing, before) in go.Zip(tried)) (outgoing.State, outgoing.FirstTriedAt) = (OutgoingState.Pending, before);
            await db.SaveChangesAsync(CancellationToken.None);
            return [.. done.Except(go).Select(o => ids[o.Id])];
        }

        var outcomes = await Task.WhenAll(go.Select(outgoing => SendAmongOthers(outgoing, stop)));
        foreach (var (outgoing, outcome) in go.Zip(outcomes)) Conclude(outgoing, outcome, now);
        await db.SaveChangesAsync(CancellationToken.None);
        return [.. done.Select(o => ids[o.Id])];
    }

    // Looked at and claimed in one transaction: what it is sent for may have ended while it waited.
    private async Task<bool> Begins(OutgoingRow outgoing, Instant now, CancellationToken stop)
    {
        await using var both = await db.Database.BeginTransactionAsync(stop);
        var goes = outgoing.Kind.IsEveryday ? (await MayGo([outgoing], now, stop)).Count > 0 : await IsWanted(outgoing, now, stop);
        if (goes) await Begin([outgoing], now, stop);
        else await db.SaveChangesAsync(stop);
        await both.CommitAsync(stop);
        return goes;
    }

    // Pages and safety replies go at any hour and in any number; the feature that stored one may know that it is wanted, or true, no more.
    private async Task<bool> IsWanted(OutgoingRow outgoing, Instant now, CancellationToken stop)
    {
        if ((await Looked([outgoing], now, stop)).GetValueOrDefault(outgoing.Id) is not LastLook.Never) return true;
        outgoing.State = outgoing.State is OutgoingState.Pending ? OutgoingState.HeldBack : OutgoingState.Unclear;      // what may have gone is never called held back
        return false;
    }

    // Everyday texts that may go now. What becomes of the others is part of the unit of work.
    private async Task<List<OutgoingRow>> MayGo(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        var looked = await LastLookAt(texts, now, stop);
        var morning = await QuietUntil(now, stop);
        var go = new List<OutgoingRow>();
        foreach (var text in texts)
        {
            var later = looked[text.Id] switch
            {
                LastLook.Go => morning ?? (pace.MayGoAt(text.From, now) is var at && at > now ? at : null),      // it was let go in time and we were away since; or it is not its turn
                LastLook.Later wait => wait.At,
                _ => (Instant?)null,
            };
            if (later is { } instant) db.Enqueue(MessageJobs.Send, text.Id.ToString(), instant, JobTable.EverydayLane);
            else if (looked[text.Id] is LastLook.Go) go.Add(text);
            else text.State = OutgoingState.HeldBack;
        }

        return go;
    }

    // The rows say "calling" before the carrier hears of them: all of them or none.
    private Task Begin(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        foreach (var text in texts)
        {
            text.State = OutgoingState.Calling;
            text.FirstTriedAt ??= now;
        }

        return db.SaveChangesAsync(stop);
    }

    private void Conclude(OutgoingRow outgoing, SendOutcome outcome, Instant begun)
    {
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
                    db.Add(new OptOutRow { ClinicId = outgoing.ClinicId, Number = outgoing.To, MessageId = outgoing.Id, Stopped = true, At = begun });      // the STOP was before it; a START may have come while others were waited for
                db.Enqueue(MessageJobs.NotDelivered, outgoing.Id.ToString(), outgoing.AnsweredAt.Value, lane: 0);
                break;
            case SendOutcome.NotTaken later:
                Repeat(outgoing, OutgoingState.Pending, later.After);
                break;
            default:
                Repeat(outgoing, OutgoingState.Unclear);
                break;
        }
    }

    // Looks for a text of which nobody knows. True: nothing is to be sent.
    private async Task<bool> WasTaken(OutgoingRow outgoing, CancellationToken stop)
    {
        if (outgoing.CarrierId is { } told)                                     // it reported of it while it was on the line, and its answer never came
        {
            outgoing.AnsweredAt = time.GetCurrentInstant();
            Accept(outgoing, told, outgoing.AnsweredAt.Value);
            return true;
        }

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
        if (soon && (outgoing.State is OutgoingState.Calling || !isListed)) db.Enqueue(MessageJobs.Send, outgoing.Id.ToString(), now + LookFor, JobTable.EverydayLane);
        outgoing.State = OutgoingState.Unclear;
        return true;
    }

    private void Accept(OutgoingRow outgoing, string sid, Instant taken)
    {
        (outgoing.State, outgoing.CarrierId) = (OutgoingState.Accepted, sid);
        HeardOf.LookAt(db, outgoing, taken);
    }

    private async Task<Dictionary<Guid, LastLook>> Looked(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        var looked = new Dictionary<Guid, LastLook>();
        foreach (var one in looks)
            foreach (var (id, look) in await one.At([.. texts.Where(t => !looked.ContainsKey(t.Id))], now, stop)) looked[id] = look;
        return looked;
    }

    private async Task<Dictionary<Guid, LastLook>> LastLookAt(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        var looked = await Looked(texts, now, stop);
        foreach (var text in texts)
            if (!looked.ContainsKey(text.Id)) looked[text.Id] = await db.HasStopped(text.To, stop) ? new LastLook.Never() : new LastLook.Go();
        return looked;
    }

    // A page that comes late misleads: past its validity it is not repeated, and counts as not delivered.
    // An everyday text may have waited for the morning or its turn: it is repeated for as long from when it was first tried.
    private void Repeat(OutgoingRow outgoing, OutgoingState state, Duration? asked = null)
    {
        var now = outgoing.AnsweredAt!.Value;
        var since = outgoing.Kind.IsEveryday ? outgoing.FirstTriedAt!.Value : outgoing.MadeAt;
        var left = since + Duration.FromSeconds(ValiditySeconds(outgoing.Kind)) - now;
        var inTime = left > Duration.Zero;
        // The carrier may ask for an hour; what is urgent knocks again before that.
        var pause = asked is { } wait ? Duration.Max(Least, Duration.Min(wait, outgoing.Kind.IsEveryday ? left : MostForUrgent)) : outgoing.Kind.IsEveryday ? EverydayPause : Pause;
        var again = inTime && (state is OutgoingState.Pending || !outgoing.Kind.IsEveryday);
        // What may have gone out is never called not sent: it is looked for.
        outgoing.State = again || inTime || (state is OutgoingState.Unclear && outgoing.Kind.IsEveryday) ? state : OutgoingState.TooLate;
        if (again) db.Enqueue(MessageJobs.Send, outgoing.Id.ToString(), now + pause, lane: outgoing.Kind.Lane);
        else if (state is OutgoingState.Unclear && outgoing.Kind.IsEveryday) db.Enqueue(MessageJobs.Send, outgoing.Id.ToString(), now + LookFor, JobTable.EverydayLane);      // to look for it, never to repeat it
        else if (!outgoing.Kind.IsEveryday) db.Enqueue(MessageJobs.NotDelivered, outgoing.Id.ToString(), now, lane: 0);
    }

    private async Task<Instant?> QuietUntil(Instant now, CancellationToken stop)
    {
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
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

    // A fault in one takes no answer from the others: what became of it is looked for.
    private async Task<SendOutcome> SendAmongOthers(OutgoingRow outgoing, CancellationToken stop)
    {
        try
        {
            return await Send(outgoing, stop);
        }
        catch (Exception fault) when (!stop.IsCancellationRequested)
        {
            return new SendOutcome.Unclear(fault.GetType().Name);
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
