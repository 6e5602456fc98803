namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>Chance worked out from the seed and a name: what happens to one thing does not depend on what else happens, so a story can be shortened.</summary>
internal sealed class Sim_chance(int seed)
{
    /// <summary>0 to <paramref name="below"/> - 1.</summary>
    public int Of(string name, int below)
    {
        var hash = 14695981039346656037UL ^ (ulong)seed * 0x9E3779B97F4A7C15UL;
        foreach (var letter in name) hash = (hash ^ letter) * 1099511628211UL;
        hash ^= hash >> 31;
        hash *= 0xBF58476D1CE4E5B9UL;
        return (int)((hash ^ hash >> 29) % (ulong)below);
    }

    /// <summary>True in so many of a hundred.</summary>
    public bool In100(string name, int times) => Of(name, 100) < times;
}
