using System.Globalization;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Web.Commands.Simulation;

/// <summary>Tries the price range on invented clinics and compares it with simpler rules.</summary>
internal static class SimulateCommand
{
    private const string Usage =
        """
        usage: range simulate [--clinics N] [--patients N] [--seed N] [--generator A|B|C]
        40 clinics of 160 patients each and seed 1 unless said otherwise. Ranges are made before each treatment; the clinic learns after every 20.
        out: a table: coverage of an 80 percent range, mean width, mean interval score (lower is better)
        exit codes: 0 the bar is met: in A and B a mean score of at most 0.75 times the best empirical rule, and mL coverage inside its binomial 99 percent interval around 0.80;
                    1 it is not, or the content was bad; 2 usage. C only warns: there the alarm of coverage is what is wanted.
        Clinics and patients are invented: this tries the method, not the prices.
        """;

    internal static int Run(string[] args, TextWriter output, TextWriter error, string contentFolder)
    {
        if (args is ["--help" or "-h"]) { output.WriteLine(Usage); return 0; }
        int clinics = 40, patients = 160, seed = 1;
        var generators = Generator.All;
        for (var i = 0; i < args.Length; i += 2)
        {
            var known = i + 1 < args.Length;
            if (known && args[i] == "--generator" && Generator.All.FirstOrDefault(g => g.Name == args[i + 1]) is { } one) generators = [one];
            else if (known && int.TryParse(args[i + 1], CultureInfo.InvariantCulture, out var number) && number is > 0 and <= 100_000)
            {
                if (args[i] == "--clinics") clinics = number;
                else if (args[i] == "--patients") patients = number;
                else if (args[i] == "--seed") seed = number;
                else known = false;
            }
            else known = false;

            if (known) continue;
            error.WriteLine(Usage);
            return 2;
        }

        ContentLibrary content;
        try
        {
            content = ContentLibrary.Load(contentFolder);
        }
        catch (InvalidOperationException fault)
        {
            error.WriteLine(fault.Message);
            return 1;
        }

        var good = true;
        foreach (var generator in generators)
        {
            var tallies = Play(content.Pricing, generator, clinics, patients, seed);
            output.WriteLine($"{generator.Name}: {generator.Says}");
            output.WriteLine($"   {clinics} clinics x {patients} patients, seeds {SeedOf(seed, 0)} to {SeedOf(seed, clinics - 1)}");
            output.WriteLine($"   {"rule",-42} {"coverage",9} {"width",9} {"score",9}");
            foreach (var tally in tallies.Values) output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"   {tally.Name,-42} {tally.Coverage,9:0.000} {tally.Width,9:#,##0.##} {tally.Score,9:#,##0.##}"));
            good &= Judge(generator, tallies, output) || generator.Name == "C";
        }

        return good ? 0 : 1;
    }

    // A number for each clinic of each run; clinics can be played in any order.
    private static int SeedOf(int seed, int clinic) => unchecked(seed * 100_003 + clinic);

    private static Dictionary<string, Tally> Play(PriceModel model, Generator generator, int clinics, int patients, int seed)
    {
        var each = new Dictionary<string, Tally>[clinics];
        Parallel.For(0, clinics, i => each[i] = Trial.Of(model, generator, patients, SeedOf(seed, i)));
        var sum = Trial.Rules.ToDictionary(r => r, r => new Tally(r));
        foreach (var clinic in each)
            foreach (var (rule, tally) in clinic) sum[rule].Add(tally);
        return sum;
    }

    private static bool Judge(Generator generator, Dictionary<string, Tally> tallies, TextWriter output)
    {
        var best = ((string[])[Trial.BySet, Trial.All, Trial.OwnMinMax]).Min(rule => tallies[rule].Score);
        var ratio = tallies[Trial.Method].Score / best;
        var (low, high) = Around80(tallies[Trial.Ml].Cases);
        var ml = tallies[Trial.Ml].Coverage;
        var good = ratio <= 0.75 && ml >= low && ml <= high;
        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"   score {ratio:0.000} of the best empirical rule (bar 0.750); mL coverage {ml:0.000}, chance alone {low:0.000} to {high:0.000}: {(good ? "met" : generator.Name == "C" ? "not met, as a hostile clinic should show" : "NOT MET")}"));
        return good;
    }

    /// <summary>Where coverage lies 99 times in 100 when each range truly holds 80 percent.</summary>
    private static (double Low, double High) Around80(int cases)
    {
        // Exact enough by the normal beyond a few hundred; below, by the interval that would still hold 0.80.
        var half = 2.5758 * Math.Sqrt(0.8 * 0.2 / cases) + 0.5 / cases;
        return (0.8 - half, 0.8 + half);
    }
}
