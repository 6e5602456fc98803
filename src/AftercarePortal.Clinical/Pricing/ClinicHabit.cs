namespace AftercarePortal.Clinical.Pricing;

/// <summary>How much more or less than the published start a clinic is believed to use in one region.</summary>
/// <param name="Region">Code of <c>wish-regions</c>.</param>
/// <param name="Percent">More than the start; negative: less. The middle of what is believed.</param>
/// <param name="Low">Lower end of the central 80 percent of belief.</param>
/// <param name="High">Upper end.</param>
public sealed record ClinicHabit(string Region, int Percent, int Low, int High)
{
    /// <summary>One for each region of the model, in its order. At the cold start all are 0 with a wide belief.</summary>
    /// <remarks>Normal approximation with the spread at its scale S2; the exact belief is a Student t with wider ends (textbook).</remarks>
    public static IReadOnlyList<ClinicHabit> Of(PriceModel model, ClinicFigures figures)
    {
        var level = At(figures, "level");
        return
        [
            .. from region in model.Regions
               let at = At(figures, $"region:{region.Code}")
               where level >= 0 && at >= 0
               let mean = figures.Mean[level] + figures.Mean[at]
               let sd = Math.Sqrt(figures.S2 * Math.Max(0, figures.Covariance[level][level] + figures.Covariance[at][at] + 2 * figures.Covariance[level][at]))
               select new ClinicHabit(region.Code, More(mean), More(mean - 1.2816 * sd), More(mean + 1.2816 * sd)),
        ];
    }

    private static int At(ClinicFigures figures, string parameter) => figures.Parameters.ToList().IndexOf(parameter);

    private static int More(double log) => (int)Math.Round(100 * (Math.Exp(log) - 1));
}
