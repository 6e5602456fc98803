using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>The carrier's reports come in any order, twice, or never.</summary>
public sealed class Delivery_in_any_order
{
    // Messages API and calls: the states the carrier documents (messaging dossier 1.3, 1.10).
    private static readonly string[] States =
        ["accepted", "scheduled", "queued", "sending", "sent", "delivered", "read", "undelivered", "failed", "canceled", "initiated", "ringing", "answered", "in-progress", "completed", "busy", "no-answer", "something-new"];

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [Source("twilio-oai, API v2010, as retrieved for the messaging dossier", at: "message status and call status")]
    public void What_is_known_depends_on_what_was_reported_and_not_on_its_order_and_is_never_taken_back(int seed)
    {
        var chance = new Random(seed);
        for (var round = 0; round < 2000; round++)
        {
            var reports = Enumerable.Range(0, chance.Next(1, 9)).Select(_ => States[chance.Next(States.Length)]).ToArray();
            var known = DeliveryStandings.Of(reports);
            var mixed = reports.Concat(reports.Where(_ => chance.Next(2) == 0)).ToArray();
            chance.Shuffle(mixed);
            Assert.True(known == DeliveryStandings.Of(mixed), $"seed {seed}: {string.Join(' ', mixed)}");
            for (var i = 0; i < mixed.Length; i++)
                Assert.True(DeliveryStandings.Of(mixed[..i]) <= DeliveryStandings.Of(mixed[..(i + 1)]), $"seed {seed}: {string.Join(' ', mixed)}");
        }
    }

    [Theory]
    [InlineData("undelivered", 1)]
    [InlineData("delivered", 0)]
    public async Task Through_the_portal_every_order_of_a_texts_reports_comes_to_the_same(string end, int acts)
    {
        await using var portal = new Started();
        await portal.Of.InitializeAsync();
        foreach (var order in Orders(["queued", "sent", end, end]).Distinct())
        {
            var key = Guid.NewGuid().ToString();
            await portal.Of.Read(async db =>
            {
                await db.QueueOnce(key, OutgoingKind.SafetyReply, Listening_portal.Patients, Listening_portal.Patient, "words", portal.Of.Time.GetCurrentInstant(), default);
                return await db.SaveChangesAsync();
            });
            await portal.Of.RunJobs();
            var id = await portal.Of.Read(db => db.Outgoing.Where(o => o.Key == key).Select(o => o.Id).SingleAsync());
            foreach (var status in order.Split(' ')) Assert.Equal(200, await portal.Of.Report(id, status));
            await portal.Of.RunJobs();
            var (told, standing) = await portal.Of.Read(async db => (
                await db.Jobs.Where(j => j.Kind == MessageJobs.NotDelivered && j.Subject == id.ToString()).Select(j => j.Subject).Distinct().CountAsync(),
                DeliveryStandings.Of(await db.Deliveries.Where(d => d.OutgoingId == id).Select(d => d.Status).ToListAsync())));
            Assert.Equal((acts, end == "delivered" ? "Arrived" : "NotArrived"), (told, standing.ToString()));
        }
    }

    private static IEnumerable<string> Orders(string[] all) =>
        all.Length == 1 ? [all[0]] : all.SelectMany((first, i) => Orders([.. all[..i], .. all[(i + 1)..]]).Select(rest => $"{first} {rest}"));

    private sealed class Started : IAsyncDisposable
    {
        public Listening_portal Of { get; } = new();

        public async ValueTask DisposeAsync() => await Of.DisposeAsync();
    }
}
