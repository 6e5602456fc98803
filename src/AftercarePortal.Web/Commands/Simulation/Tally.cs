using AftercarePortal.Clinical.Outcomes;

namespace AftercarePortal.Web.Commands.Simulation;

/// <summary>How the ranges of one rule did.</summary>
/// <param name="Name">Of the rule.</param>
internal sealed record Tally(string Name)
{
    private double _width;
    private double _score;

    internal int Cases { get; private set; }

    internal int Held { get; private set; }

    internal double Coverage => (double)Held / Cases;

    internal double Width => _width / Cases;

    internal double Score => _score / Cases;

    internal void Add(double lower, double upper, double came)
    {
        Cases++;
        if (came >= lower && came <= upper) Held++;
        _width += upper - lower;
        _score += IntervalScore.Of(lower, upper, came);
    }

    internal void Add(Tally other)
    {
        Cases += other.Cases;
        Held += other.Held;
        _width += other._width;
        _score += other._score;
    }
}
