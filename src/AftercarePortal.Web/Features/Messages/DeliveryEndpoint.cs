using AftercarePortal.Web.Carrier;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Where the carrier reports how a text or call fared.</summary>
internal static class DeliveryEndpoint
{
    public static void MapDeliveries(this IEndpointRouteBuilder app) =>
        app.MapPost("/carrier/delivery", Receive).AddEndpointFilter<CarrierSignature>().DisableAntiforgery();

    private static async Task<IResult> Receive(HttpRequest request, KeepDelivery keep)
    {
        var form = await request.ReadFormAsync();
        if (!Guid.TryParse(request.Query["o"], out var id)) return TypedResults.BadRequest("The address names no text.");
        return await keep.Run(id, form) ? TypedResults.Text("<Response/>", "application/xml") : TypedResults.NotFound();
    }
}
