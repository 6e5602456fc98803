using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Keeps one status report of the carrier; they come in any order, twice, or never.</summary>
/// <remarks>Takes no cancellation token: a carrier that hangs up does not take the report back.</remarks>
internal sealed class KeepDelivery(PortalDb db, ClinicScope scope, TimeProvider time)
{
    /// <returns>False: no such text.</returns>
    public async Task<bool> Run(Guid id, IFormCollection form)
    {
        var outgoing = await db.Outgoing.IgnoreQueryFilters().SingleOrDefaultAsync(o => o.Id == id);
        if (outgoing is null) return false;
        scope.Enter(outgoing.ClinicId);

        var now = time.GetCurrentInstant();
        var status = form["MessageStatus"].ToString() is { Length: > 0 } text ? text : form["CallStatus"].ToString();
        db.NoteStatus(outgoing, status, int.TryParse(form["ErrorCode"], out var code) ? code : null, now);
        var sid = form[form.ContainsKey("CallSid") ? "CallSid" : "MessageSid"].ToString();
        if (sid.Length > 0 && outgoing.State is OutgoingState.Unclear) await Accept(outgoing, sid, now);
        else await db.SaveChangesAsync();
        if (sid.Length > 0 && outgoing.State is OutgoingState.Calling) await KeepId(id, sid);
        return true;
    }

    // On the line: its answer may yet be lost. Whoever is to send it again sees that the carrier has it.
    private Task<int> KeepId(Guid id, string sid) =>
        db.Outgoing.Where(o => o.Id == id && o.CarrierId == null && (o.State == OutgoingState.Calling || o.State == OutgoingState.Unclear)).ExecuteUpdateAsync(set => set.SetProperty(o => o.CarrierId, sid));

    // Its answer was lost, and the carrier speaks of it: it was taken. Not when another is just sending it again.
    private async Task Accept(OutgoingRow outgoing, string sid, Instant now)
    {
        await using var both = await db.Database.BeginTransactionAsync();
        var accepted = await db.Outgoing.Where(o => o.Id == outgoing.Id && o.State == OutgoingState.Unclear).ExecuteUpdateAsync(
            set => set.SetProperty(o => o.State, OutgoingState.Accepted).SetProperty(o => o.CarrierId, sid).SetProperty(o => o.AnsweredAt, now));
        if (accepted == 1) HeardOf.LookAt(db, outgoing, now);
        await db.SaveChangesAsync();
        await both.CommitAsync();
    }
}
