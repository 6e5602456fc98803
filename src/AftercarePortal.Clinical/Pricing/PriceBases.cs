using System.Collections.Concurrent;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Keeps the costly part of past ranges: volumes of the same regions at the same figures. A range with it and one without it are the same, bit for bit.</summary>
/// <remarks>Safe to share between threads. Holds no answer of anybody, only numbers.</remarks>
public sealed class PriceBases
{
    private const int Most = 256;
    private readonly ConcurrentDictionary<string, object> _kept = new(StringComparer.Ordinal);

    /// <summary>How many are kept, 0..256.</summary>
    public int Count => _kept.Count;

    internal T Of<T>(string key, Func<T> make) where T : class
    {
        if (_kept.TryGetValue(key, out var kept)) return (T)kept;
        var made = make();
        // Full means that figures or regions have changed often: begin again rather than keep an order of use.
        if (_kept.Count >= Most) _kept.Clear();
        _kept[key] = made;
        return made;
    }
}
