using System.Diagnostics;
using System.Globalization;

namespace AftercarePortal.Demo.Simulation;

/// <summary>Plays seed after seed on every processor, and shortens the first story that breaks a rule.</summary>
internal static class Simulation
{
    private const int MostLines = 80;
    private static readonly HashSet<string> Nothing = [];

    /// <summary>A rule that was broken.</summary>
    /// <param name="Story">The shortest telling found in which it still breaks; its last lines.</param>
    public sealed record Broken(int Seed, string Rule, string Story);

    /// <summary>What a run was.</summary>
    /// <param name="Seeds">How many stories were played.</param>
    /// <param name="TimesRealTime">Simulated time over real time.</param>
    public sealed record Run(int Seeds, int Crashes, int Interleaved, double Hours, TimeSpan Took, Broken? Broken)
    {
        public double TimesRealTime => Hours * 3600 / Took.TotalSeconds;

        public override string ToString() => string.Create(CultureInfo.InvariantCulture,
            $"{Seeds} stories of {Hours / Math.Max(1, Seeds):0} hours on average in {Took.TotalSeconds:0.0} s, {TimesRealTime:0} times real time; {Crashes} machines killed, {Interleaved} times others acted in between");
    }

    /// <summary>Plays seeds <paramref name="first"/> and on, until one breaks a rule.</summary>
    public static async Task<Run> Play(int first, int count, SimMutant? mutant = null, int? workers = null)
    {
        var watch = Stopwatch.StartNew();
        var (next, turn, seeds, crashes, interleaved, hours) = (first - 1, new Lock(), 0, 0, 0, 0.0);
        Broken? broken = null;
        await Task.WhenAll(Enumerable.Range(0, workers ?? Environment.ProcessorCount).Select(_ => Task.Run(async () =>
        {
            await using var stage = new SimStage(mutant);
            while (broken is null && Interlocked.Increment(ref next) is var seed && seed < first + count)
            {
                using var world = new SimWorld(stage, seed, Nothing);
                var rule = await RuleBroken(world);
                lock (turn)
                {
                    (seeds, crashes, interleaved, hours) = (seeds + 1, crashes + world.Crashes, interleaved + world.Interleaved, hours + world.Length.TotalHours);
                    if (rule is null || broken is not null) continue;
                    broken = new(seed, rule, "");
                }

                if (mutant is null) broken = broken with { Story = await Shortened(stage, seed, rule) };
            }
        })));
        return new(seeds, crashes, interleaved, hours, watch.Elapsed, broken);
    }

    /// <summary>The hash of one seed's log.</summary>
    public static async Task<string> HashOf(SimStage stage, int seed)
    {
        using var world = new SimWorld(stage, seed, Nothing);
        return await world.Play();
    }

    private static async Task<string?> RuleBroken(SimWorld world)
    {
        try
        {
            await world.Play();
            return null;
        }
        catch (SimBroken broken)
        {
            return broken.Message;
        }
    }

    // Leaves out one part after the other for as long as the same rule breaks.
    private static async Task<string> Shortened(SimStage stage, int seed, string rule)
    {
        var left = new HashSet<string>();
        foreach (var part in SimStory.Parts)
        {
            using var shorter = new SimWorld(stage, seed, new HashSet<string>(left) { part });
            if (await RuleBroken(shorter) == rule) left.Add(part);
        }

        using var world = new SimWorld(stage, seed, left);
        await RuleBroken(world);
        return $"without {string.Join(", ", left)}:\n{string.Join('\n', world.Lines.TakeLast(MostLines))}";
    }
}
