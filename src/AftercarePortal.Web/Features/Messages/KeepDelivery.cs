using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
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
        db.Add(new DeliveryRow
        {
            ClinicId = outgoing.ClinicId, OutgoingId = id, Status = status[..Math.Min(status.Length, 40)], ReceivedAt = now,
            ErrorCode = int.TryParse(form["ErrorCode"], out var code) ? code : null,
        });
        if (MessageTable.NotArrived.Contains(status)) db.Enqueue(MessageJobs.NotDelivered, id.ToString(), now, lane: 0);
        else if (status is "delivered" && outgoing.Kind is OutgoingKind.SafetyReply) db.Enqueue(MessageJobs.Delivered, id.ToString(), now);
        await db.SaveChangesAsync();
        return true;
    }
}
