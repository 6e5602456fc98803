using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Keeps the carrier's status reports; they come in any order, twice, or never.</summary>
internal static class DeliveryEndpoint
{
    private static readonly string[] NotArrived = ["failed", "undelivered", "busy", "no-answer", "canceled"];

    public static void MapDeliveries(this IEndpointRouteBuilder app) =>
        app.MapPost("/carrier/delivery", Receive).AddEndpointFilter<CarrierSignature>().DisableAntiforgery();

    private static async Task<IResult> Receive(HttpRequest request, PortalDb db, ClinicScope scope, TimeProvider time)
    {
        var form = await request.ReadFormAsync();
        if (!Guid.TryParse(request.Query["o"], out var id)) return TypedResults.BadRequest("The address names no text.");
        var outgoing = await db.Outgoing.IgnoreQueryFilters().SingleOrDefaultAsync(o => o.Id == id);
        if (outgoing is null) return TypedResults.NotFound();
        scope.Enter(outgoing.ClinicId);

        var now = time.GetCurrentInstant();
        var status = form["MessageStatus"].ToString() is { Length: > 0 } text ? text : form["CallStatus"].ToString();
        db.Add(new DeliveryRow
        {
            ClinicId = outgoing.ClinicId, OutgoingId = id, Status = status[..Math.Min(status.Length, 40)], ReceivedAt = now,
            ErrorCode = int.TryParse(form["ErrorCode"], out var code) ? code : null,
        });
        if (NotArrived.Contains(status)) db.Enqueue(MessageJobs.NotDelivered, id.ToString(), now, lane: 0);
        await db.SaveChangesAsync();
        return TypedResults.Text("<Response/>", "application/xml");
    }
}
