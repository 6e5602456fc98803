namespace AftercarePortal.Clinical.Triage;

/// <summary>A set of up to 256 atoms by number.</summary>
internal struct AtomSet
{
    internal const int Most = 256;
    private ulong a;
    private ulong b;
    private ulong c;
    private ulong d;

    internal readonly bool IsEmpty => (a | b | c | d) == 0;

    internal readonly bool Has(int atom) => ((atom >> 6) switch { 0 => a, 1 => b, 2 => c, _ => d } >> (atom & 63) & 1) != 0;

    internal readonly bool Covers(in AtomSet need) => (a & need.a) == need.a && (b & need.b) == need.b && (c & need.c) == need.c && (d & need.d) == need.d;

    internal readonly bool Meets(in AtomSet other) => ((a & other.a) | (b & other.b) | (c & other.c) | (d & other.d)) != 0;

    internal readonly AtomSet Without(in AtomSet other) => new() { a = a & ~other.a, b = b & ~other.b, c = c & ~other.c, d = d & ~other.d };

    internal readonly AtomSet Only(in AtomSet other) => new() { a = a & other.a, b = b & other.b, c = c & other.c, d = d & other.d };

    internal void Add(int atom)
    {
        var bit = 1UL << (atom & 63);
        switch (atom >> 6)
        {
            case 0: a |= bit; break;
            case 1: b |= bit; break;
            case 2: c |= bit; break;
            default: d |= bit; break;
        }
    }

    internal void Add(in AtomSet other)
    {
        a |= other.a;
        b |= other.b;
        c |= other.c;
        d |= other.d;
    }
}
