using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>The key pressed during a test page by voice. Only 1 takes it.</summary>
internal static class TestVoiceEndpoint
{
    public static void MapTestVoice(this IEndpointRouteBuilder app) =>
        app.MapPost("/carrier/voice/test", Receive).AddEndpointFilter<CarrierSignature>().DisableAntiforgery();

    private static async Task<IResult> Receive(HttpRequest request, PortalDb db, ClinicScope scope, ProveContact prove, TimeProvider time, CancellationToken stop)
    {
        var form = await request.ReadFormAsync(stop);
        if (!Guid.TryParse(request.Query["t"], out var id)) return TypedResults.BadRequest("The address names no test page.");
        var test = await db.TestPages.IgnoreQueryFilters().AsNoTracking().SingleOrDefaultAsync(t => t.Id == id, stop);
        if (test is null) return TypedResults.NotFound();
        scope.Enter(test.ClinicId);
        if (form["To"].ToString() != test.Number || form["Digits"].ToString() is not "1") return Say("That key does nothing. The test page is still to be taken.");
        await prove.Run(test.Person, test.Number, ContactWay.Call, time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
        return Say("Thank you. Pages by voice reach you.");
    }

    private static IResult Say(string words) => TypedResults.Text($"<Response><Say>{words}</Say></Response>", "application/xml");
}
