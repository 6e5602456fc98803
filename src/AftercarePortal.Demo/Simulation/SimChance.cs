namespace AftercarePortal.Demo.Simulation;

/// <summary>Chance worked out from the seed and a name: what happens to one thing does not depend on what else happens, so a story can be shortened.</summary>
internal sealed class SimChance(int seed)
{
    /// <summary>0 to <paramref name="below"/> - 1.</summary>
    public int Of(string name, int below)
    {
        var hash = 14695981039346656037UL ^ (ulong)seed * 0x9E3779B97F4A7C15UL;
        foreach (var letter in name) hash = (hash ^ letter) * 1099511628211UL;
        return Below(hash, below);
    }

    /// <summary>The same for things that are only counted.</summary>
    public int Of(int what, int count, int below) => Below((ulong)seed * 0x9E3779B97F4A7C15UL ^ (ulong)what << 56 ^ (ulong)count * 0xD6E8FEB86659FD93UL, below);

    /// <summary>True in so many of a hundred.</summary>
    public bool In100(string name, int times) => Of(name, 100) < times;

    private static int Below(ulong hash, int below)
    {
        hash = (hash ^ hash >> 31) * 0xBF58476D1CE4E5B9UL;
        hash = (hash ^ hash >> 27) * 0x94D049BB133111EBUL;
        return (int)((hash ^ hash >> 31) % (ulong)below);
    }
}
