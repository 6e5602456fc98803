using System.Globalization;
using AftercarePortal.Testing;

namespace AftercarePortal.Benchmarks;

/// <summary>The figures a report's way is judged by, as ratios within one run.</summary>
internal static class Proof
{
    private static readonly (string Name, Func<ITestDatabase> Open)[] Databases = [("SQLite", ITestDatabase.Sqlite), ("PostgreSQL", ITestDatabase.Postgres)];

    /// <summary>The webhook beside the reference endpoint.</summary>
    public static async Task Webhooks(TextWriter output)
    {
        foreach (var (name, open) in Databases)
            foreach (var workers in new[] { false, true })
            {
                using var database = open();
                var hook = await Webhook.Run(database, times: 1000, workers);
                output.WriteLine(hook.Portal.Line($"webhook on {name}: signed text kept and answered, workers {(workers ? "busy" : "off")}"));
                output.WriteLine(hook.Reference.Line("  reference: parse, HMAC, one durable commit of two rows"));
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {"ratio (wanted: p50 <= 1.5, p99 <= 2)",-60} {"",6} {hook.Portal.P50 / hook.Reference.P50,9:0.00} {hook.Portal.P99 / hook.Reference.P99,9:0.00}"));
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  eight at once: {hook.PortalPerSecond:0} a second, reference {hook.ReferencePerSecond:0}, ratio {hook.PortalPerSecond / hook.ReferencePerSecond:0.00} (wanted: >= 0.6)"));
            }
    }

    /// <summary>Due steps drained by one node on PostgreSQL, with no pace: a number's own is far below it.</summary>
    public static async Task Steps(TextWriter output, int steps)
    {
        using var database = ITestDatabase.Postgres();
        var (drained, floor) = await Drain.Run(database, steps);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{steps} due steps on PostgreSQL: {drained.PerSecond:0} a second (wanted: >= 2000), {drained.Processor:0.00} ms of processor time each beside the database's"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  the SDK alone to the same carrier: {floor.PerSecond:0} a second, {floor.Processor:0.00} ms each; ratio {drained.PerSecond / floor.PerSecond:0.00}"));
    }

    /// <param name="large">Waiting jobs and due steps in full: 1,000,000 and 100,000; otherwise a tenth of each.</param>
    public static async Task Run(TextWriter output, bool large)
    {
        await Webhooks(output);
        foreach (var (name, open) in Databases)
        {
            using var database = open();
            output.WriteLine((await ReportToPage.Run(database, times: 100)).Line($"report stored to page accepted on {name}, 1,000 reports open"));
        }

        await Steps(output, large ? 100_000 : 10_000);
        await Queue(output, large ? 1_000_000 : 100_000);
    }

    /// <summary>One job beside few and beside many that wait.</summary>
    public static async Task Queue(TextWriter output, int waiting)
    {
        foreach (var (name, open) in Databases)
        {
            using var few = open();
            var small = await QueueCost.Run(few, 1_000, times: 300);
            using var many = open();
            var big = await QueueCost.Run(many, waiting, times: 300);
            output.WriteLine(small.Line($"one job claimed and settled on {name}, 1,000 waiting"));
            output.WriteLine(big.Line(string.Create(CultureInfo.InvariantCulture, $"one job claimed and settled on {name}, {waiting:N0} waiting")));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {"ratio",-60} {"",6} {big.P50 / small.P50,9:0.00} {big.P99 / small.P99,9:0.00}"));
        }
    }
}
