using AftercarePortal.Web.Carrier;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Where the carrier delivers messages: signature, durable row, 200. Nothing else happens before the answer.</summary>
internal static class InboundEndpoint
{
    public static void MapInboundMessages(this IEndpointRouteBuilder app) =>
        app.MapPost("/carrier/inbound", Receive).AddEndpointFilter<CarrierSignature>().DisableAntiforgery();

    private static async Task<IResult> Receive(HttpRequest request, ReceiveMessage receive)
    {
        var form = await request.ReadFormAsync();
        if (form["MessageSid"].Count != 1) return TypedResults.BadRequest("MessageSid is missing.");
        await receive.Run(form);
        return TypedResults.Text("<Response/>", "application/xml");
    }
}
