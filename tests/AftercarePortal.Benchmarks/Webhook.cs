using System.Diagnostics;
using System.Net;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Testing;

namespace AftercarePortal.Benchmarks;

/// <summary>Signed inbound texts to the portal and to the reference endpoint, turn and turn about, on the same database.</summary>
internal static class Webhook
{
    private const int AtOnce = 8;

    public sealed record Result(Timings Portal, Timings Reference, double PortalPerSecond, double ReferencePerSecond);

    /// <param name="times">Texts to each, one after another; a tenth more before them is not counted.</param>
    /// <param name="workers">Whether the portal's workers read and answer the texts meanwhile.</param>
    public static async Task<Result> Run(ITestDatabase database, int times, bool workers)
    {
        await using var portal = await BenchPortal.Start(database, workers);
        await using var reference = new ReferenceEndpoint(database, portal.Url, BenchPortal.Token);
        var toReference = new LoopbackCarrier(BenchPortal.Account, BenchPortal.Token, await reference.Start(), portal.Url);
        var (ofPortal, ofReference) = (new Timings(), new Timings());
        for (var i = 0; i < times / 10; i++) await Both(new(), new());
        for (var i = 0; i < times; i++) await Both(ofPortal, ofReference);
        var rates = new List<(double Portal, double Reference)>();
        for (var round = 0; round < 5; round++) rates.Add((await PerSecond(portal.Carrier, times / 5), await PerSecond(toReference, times / 5)));
        return new(ofPortal, ofReference, Median(rates.Select(r => r.Portal)), Median(rates.Select(r => r.Reference)));

        async Task Both(Timings one, Timings other)
        {
            await one.Time(() => Text(portal.Carrier));
            await other.Time(() => Text(toReference));
        }
    }

    private static async Task<double> PerSecond(LoopbackCarrier carrier, int times)
    {
        var watch = Stopwatch.StartNew();
        await Parallel.ForAsync(0, times, new ParallelOptions { MaxDegreeOfParallelism = AtOnce }, async (_, _) => await Text(carrier));
        return times / watch.Elapsed.TotalSeconds;
    }

    private static double Median(IEnumerable<double> values) => values.Order().ElementAt(2);

    private static async Task Text(LoopbackCarrier carrier)
    {
        if (await carrier.Text(Seed.PatientNumber, Seed.ClinicNumber, "thanks, a bit sore but all fine") is var answer and not HttpStatusCode.OK)
            throw new InvalidOperationException($"The webhook answered {answer}.");
    }
}
