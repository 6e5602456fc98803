using System.Globalization;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Rota;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The key pressed during a page by voice. Only the digit counts: an answered call takes nothing, and confirms nothing that was asked after it began.</summary>
internal static class VoiceEndpoint
{
    private const int MostTries = 3;

    public static void MapVoice(this IEndpointRouteBuilder app) =>
        app.MapPost("/carrier/voice/ack", Receive).AddEndpointFilter<CarrierSignature>().DisableAntiforgery();

    private static async Task<IResult> Receive(HttpRequest request, PortalDb db, ClinicScope scope, TakeEscalation take, PassEscalation pass, ProveContact prove, TimeProvider time, CancellationToken stop)
    {
        var form = await request.ReadFormAsync(stop);
        if (!Guid.TryParse(request.Query["e"], out var id)) return TypedResults.BadRequest("The address names no report.");
        var clinic = await db.Escalations.IgnoreQueryFilters().Where(e => e.Id == id).Select(e => (Guid?)e.ClinicId).SingleOrDefaultAsync(stop);
        if (clinic is null) return TypedResults.NotFound();
        scope.Enter(clinic.Value);
        var person = await db.WhoAnswersFrom(form["To"].ToString(), id, time.GetCurrentInstant(), stop);
        if (person is null) return Say("This number is not on the rota.");
        // First what the key is for: that the phone works is noted afterwards.
        string words;
        switch (form["Digits"].ToString())
        {
            case "1":
                var round = int.TryParse(request.Query["r"], NumberStyles.None, CultureInfo.InvariantCulture, out var asked) ? asked : 0;
                words = await take.Run(id, person, round, stop) switch
                {
                    TakeEscalation.Outcome.Yours => "It is yours. Open the link in your text now.",
                    TakeEscalation.Outcome.AskedSince => "It is yours, and there is something new. Open the link in your last text now and confirm it there.",
                    _ => "Somebody else has it.",
                };
                break;
            case "2":
                await Kept(db, async () => await pass.Run(await db.Escalations.SingleAsync(e => e.Id == id, stop), person, stop), stop);
                words = "Noted that you passed it on.";
                break;
            default:
                return Say("That key does nothing. Open the link in your text, or press 1 when you are called again.");
        }

        await Kept(db, () => prove.Run(person, form["To"].ToString(), ContactWay.Call, time.GetCurrentInstant(), stop), stop);
        return Say(words);
    }

    // The key is pressed once: when something else happened to the same rows in that moment, it counts after it.
    private static async Task Kept(PortalDb db, Func<Task> work, CancellationToken stop)
    {
        for (var tries = 1; ; tries++)
        {
            db.ChangeTracker.Clear();
            try
            {
                await work();
                await db.SaveChangesAsync(stop);
                return;
            }
            catch (DbUpdateException) when (tries < MostTries)
            {
            }
        }
    }

    private static IResult Say(string words) => TypedResults.Text($"<Response><Say>{words}</Say></Response>", "application/xml");
}
