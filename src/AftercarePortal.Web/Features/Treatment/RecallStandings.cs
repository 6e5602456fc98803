using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>How far one patient of a recall was reached.</summary>
/// <param name="Reached">The carrier said the text was delivered.</param>
/// <param name="Ring">A text will not reach this patient: ring.</param>
/// <param name="Words">Where it stands.</param>
/// <param name="ByEarlier">An earlier recall of the lot texts this patient; this one does not.</param>
internal sealed record RecallStandingShown(Guid PatientId, string Name, string Number, bool Reached, bool Ring, string Words, bool ByEarlier = false);

/// <summary>Puts together what is known of a recall's texts.</summary>
internal static class RecallStandings
{
    /// <summary>Every patient of the recall, those to ring first.</summary>
    public static async Task<IReadOnlyList<RecallStandingShown>> StandingsOf(this PortalDb db, Guid recallId, CancellationToken stop)
    {
        var notices = await (
            from notice in db.RecallNotices.AsNoTracking()
            where notice.RecallId == recallId
            join patient in db.Patients.AsNoTracking() on notice.PatientId equals patient.Id
            select new { notice.Id, notice.PatientId, notice.Standing, patient.Name, patient.Number }).ToListAsync(stop);
        var ofThis = SendRecallNotice.KeysOf(recallId);
        var texts = await db.Outgoing.AsNoTracking().Where(o => o.Key.StartsWith(ofThis)).Select(o => new { o.Key, o.Id, o.State }).ToDictionaryAsync(o => o.Key, stop);
        var words = (await (
            from text in db.Outgoing.AsNoTracking()
            where text.Key.StartsWith(ofThis)
            join word in db.Deliveries.AsNoTracking() on text.Id equals word.OutgoingId
            select new { word.OutgoingId, word.Status }).ToListAsync(stop))
            .ToLookup(d => d.OutgoingId, d => d.Status);
        return
        [
            .. notices.Select(n =>
            {
                var text = texts.GetValueOrDefault(SendRecallNotice.KeyOf(recallId, n.Id));
                var (reached, ring, said) = Say(n.Standing, text?.State, text is null ? [] : [.. words[text.Id]]);
                return new RecallStandingShown(n.PatientId, n.Name, n.Number, reached, ring, said, n.Standing is RecallStanding.Before);
            }).OrderByDescending(s => s.Ring).ThenBy(s => s.Reached).ThenBy(s => s.Name, StringComparer.CurrentCultureIgnoreCase),
        ];
    }

    /// <summary>Patients whom earlier recalls of the same lot reached, or whose text is under way: nobody is texted twice.</summary>
    public static async Task<IReadOnlySet<Guid>> ReachedBefore(this PortalDb db, string lot, CancellationToken stop)
    {
        var key = LotKey.Of(lot);
        var reached = new HashSet<Guid>();
        foreach (var recall in (await db.Recalls.AsNoTracking().Select(r => new { r.Id, r.Lot }).ToListAsync(stop)).Where(r => LotKey.Of(r.Lot) == key))
            reached.UnionWith((await db.StandingsOf(recall.Id, stop)).Where(s => s is { Ring: false, ByEarlier: false }).Select(s => s.PatientId));
        return reached;
    }

    private static (bool Reached, bool Ring, string Words) Say(RecallStanding standing, OutgoingState? state, string[] carrier) => standing switch
    {
        RecallStanding.NotAgreed => (false, true, "did not agree to texts"),
        RecallStanding.Stopped => (false, true, "texted STOP or that it is a wrong number"),
        RecallStanding.NoMobile => (false, true, "no number a text can reach"),
        RecallStanding.Before => (false, false, "texted for this lot before; not texted again. Whether it arrived stands on the earlier recall"),
        _ when DeliveryStandings.Of(carrier) is DeliveryStanding.NotArrived => (false, true, "the carrier could not deliver it"),
        _ when DeliveryStandings.Of(carrier) is DeliveryStanding.Arrived => (true, false, "delivered, says the carrier; not proof of reading"),
        _ => state switch
        {
            OutgoingState.Refused => (false, true, "the carrier refused it"),
            OutgoingState.HeldBack => (false, true, "texted STOP or that it is a wrong number"),
            OutgoingState.TooLate => (false, true, "not sent in time"),
            OutgoingState.Unclear => (false, true, "unclear whether it was sent"),
            OutgoingState.Accepted => (false, false, "with the carrier; no word yet"),
            _ => (false, false, "waiting to be sent"),
        },
    };
}
