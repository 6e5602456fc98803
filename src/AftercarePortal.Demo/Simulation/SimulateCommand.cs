using System.Diagnostics;
using System.Globalization;

namespace AftercarePortal.Demo.Simulation;

/// <summary><c>rehearse --simulate N [--seed S]</c> and <c>rehearse --mutants</c>.</summary>
internal static class SimulateCommand
{
    /// <summary>Seeds within which every planted fault must be caught.</summary>
    public const int Within = 500;

    private const int AtATime = 500;

    /// <returns>0 no rule was broken, or every planted fault was caught; 1 otherwise; null: these are other words.</returns>
    public static async Task<int?> Run(string[] args, TextWriter output) => args switch
    {
        ["--mutants"] => await Mutants(output),
        ["--simulate", var count] when Number(count) is { } n => await Simulate(1, n, output),
        ["--simulate", var count, "--seed", var seed] when Number(count) is { } n && Number(seed) is { } first => await Simulate(first, n, output),
        _ => null,
    };

    private static int? Number(string word) => int.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out var n) && n > 0 ? n : null;

    private static async Task<int> Simulate(int first, int count, TextWriter output)
    {
        for (var done = 0; done < count; done += AtATime)
        {
            var run = await Simulation.Play(first + done, Math.Min(AtATime, count - done));
            output.WriteLine($"from seed {first + done}: {run}");
            if (run.Broken is not { } broken) continue;
            output.WriteLine($"BROKEN, seed {broken.Seed}: {broken.Rule}\n{broken.Story}");
            return 1;
        }

        output.WriteLine("No rule was broken.");
        return 0;
    }

    private static async Task<int> Mutants(TextWriter output)
    {
        var watch = Stopwatch.StartNew();
        var missed = 0;
        foreach (var mutant in SimMutant.All)
        {
            var run = await Simulation.Play(1, Within, mutant);
            if (run.Broken is null) missed++;
            output.WriteLine(run.Broken is { } broken ? $"caught   {mutant.Name}: seed {broken.Seed}, {broken.Rule}" : $"MISSED   {mutant.Name}: not within {Within} seeds");
        }

        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{SimMutant.All.Count - missed} of {SimMutant.All.Count} planted faults caught in {watch.Elapsed.TotalSeconds:0} s."));
        return missed == 0 ? 0 : 1;
    }
}
