using System.Globalization;
using AftercarePortal.Benchmarks;
using AftercarePortal.Testing;
using AftercarePortal.Web.ContentFiles;

// dotnet run -c Release --project tests/AftercarePortal.Benchmarks
// With the word intake: the intake's findings and pages. With the word proof: only a report's way, with 100,000 steps and 1,000,000 jobs.
// With the word reading: only how fast and how well patients' texts are read; with reading speed only how fast.
// A busy machine slows everything: its load stands above the table, and only ratios of one run can be compared.
if (args is ["reading"] or ["reading", "speed"])
{
    var library = ContentLibrary.Load(ContentLibrary.Folder);
    if (args.Length == 1) ReadingAccuracy.Run(library.Lexicon, Console.Out);
    foreach (var line in ReadingSpeed.Run(library)) Console.WriteLine(line);
    return;
}

if (args is ["intake"])
{
    var library = ContentLibrary.Load(ContentLibrary.Folder);
    Console.WriteLine($"{"milliseconds",-62} {"times",6} {"p50",9} {"p99",9}");
    Console.WriteLine((await IntakeFindings.One(library, times: 5000)).Line("findings of one intake, words read"));
    Console.WriteLine(IntakeFindings.Many(library, ContentLibrary.Folder, count: 100_000));
    foreach (var line in await IntakePages.Run(times: 300)) Console.WriteLine(line);
    return;
}

// With the word prices: only how fast and how exact a price range is.
if (args is ["prices"])
{
    Prices.Run(ContentLibrary.Load(ContentLibrary.Folder), Console.Out);
    return;
}

// With the word recall: only finding the patients of one lot.
if (args is ["recall"])
{
    Console.WriteLine($"{"milliseconds",-62} {"times",6} {"p50",9} {"p99",9}");
    await Recall();
    return;
}

PostgresCluster.Durable = true;
if (args is ["proof"])
{
    await Proof.Run(Console.Out, large: true);
    return;
}

// With the word webhook: only the webhook beside the reference endpoint.
if (args is ["webhook"])
{
    await Proof.Webhooks(Console.Out);
    return;
}

// With the word steps and a number: only so many due steps.
if (args is ["steps", var count])
{
    await Proof.Steps(Console.Out, int.Parse(count, CultureInfo.InvariantCulture));
    return;
}

// With the word queue: only what a job costs beside few and beside 1,000,000 that wait.
if (args is ["queue"])
{
    await Proof.Queue(Console.Out, 1_000_000);
    return;
}

if (File.Exists("/proc/loadavg")) Console.WriteLine($"{Environment.ProcessorCount} processors, load before the run: {File.ReadAllText("/proc/loadavg").Split(' ')[0]}");
Console.WriteLine($"{"milliseconds",-62} {"times",6} {"p50",9} {"p99",9}");
Console.WriteLine((await StartToReady.Run(times: 7)).Line("start of the program to its first page"));
await Proof.Run(Console.Out, large: false);

var content = ContentLibrary.Load(ContentLibrary.Folder);
Console.WriteLine((await Core.Reading(content, times: 3000)).Line("reading of one message"));
Console.WriteLine((await IntakeFindings.One(content, times: 5000)).Line("findings of one intake, words read"));
foreach (var line in await IntakePages.Run(times: 300)) Console.WriteLine(line);
Console.WriteLine((await Core.Range(content, times: 50)).Line("price range of one intake: three regions, all answered"));

await Recall();
Prices.Run(content, Console.Out);

static async Task Recall()
{
    using var database = ITestDatabase.Sqlite();
    var (usual, large) = await LotRecall.Run(database, times: 30);
    Console.WriteLine(usual.Line("recall: 50 patients of one lot among 1,000,000 placements"));
    Console.WriteLine(large.Line("recall: 5,000 patients of one lot among 1,000,000 placements"));
}
