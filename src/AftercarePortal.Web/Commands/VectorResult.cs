namespace AftercarePortal.Web.Commands;

/// <summary>How one vector of a file compared.</summary>
/// <param name="Name">As the file calls it.</param>
/// <param name="Differences">Largest difference by field, and what is allowed.</param>
/// <param name="NotCompared">Fields this program does not know.</param>
/// <param name="Fault">Why it could not be run; null when it was.</param>
internal sealed record VectorResult(string Name, IReadOnlyList<(string Field, double Difference, double Allowed)> Differences, IReadOnlyList<string> NotCompared, string? Fault)
{
    internal bool Good => Fault is null && Differences.Count > 0 && Differences.All(d => d.Difference <= d.Allowed);

    /// <summary>Runs one and turns a wrong shape into a fault.</summary>
    internal static VectorResult Of(string name, Func<List<string>, IReadOnlyList<(string, double, double)>> run)
    {
        var skipped = new List<string>();
        try
        {
            var differences = run(skipped);
            return new(name, differences, skipped, differences.Count == 0 ? "no field of it can be compared" : null);
        }
        catch (FormatException wrong)
        {
            return new(name, [], skipped, wrong.Message);
        }
        catch (Exception wrong) when (wrong is ArgumentException or ArithmeticException or InvalidOperationException or IndexOutOfRangeException)
        {
            // One vector that stops the engine is a failed one; the others still run.
            return new(name, [], skipped, $"the engine stopped: {wrong.GetType().Name}: {wrong.Message}");
        }
    }
}
