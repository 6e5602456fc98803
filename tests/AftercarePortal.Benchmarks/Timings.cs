using System.Diagnostics;
using System.Globalization;

namespace AftercarePortal.Benchmarks;

/// <summary>How long something took, many times over, in milliseconds.</summary>
internal sealed class Timings
{
    private readonly List<double> _ms = [];

    public double P50 => Quantile(0.5);
    public double P99 => Quantile(0.99);

    public async Task Time(Func<Task> act)
    {
        var started = Stopwatch.GetTimestamp();
        await act();
        _ms.Add(Stopwatch.GetElapsedTime(started).TotalMilliseconds);
    }

    /// <summary>One line of the table.</summary>
    public string Line(string what) => string.Create(CultureInfo.InvariantCulture, $"{what,-62} {_ms.Count,6} {P50,9:0.000} {P99,9:0.000}");

    // Nearest rank: the smallest time that at least this share of all times does not exceed.
    private double Quantile(double share) => _ms.Order().ElementAt(Math.Max(0, (int)Math.Ceiling(share * _ms.Count) - 1));
}
