namespace AftercarePortal.Clinical.Triage;

/// <summary>A set of up to 384 atoms by number.</summary>
internal struct AtomSet
{
    internal const int Most = 384;
    private ulong a;
    private ulong b;
    private ulong c;
    private ulong d;
    private ulong e;
    private ulong f;

    internal readonly bool IsEmpty => (a | b | c | d | e | f) == 0;

    internal readonly bool Has(int atom) => ((atom >> 6) switch { 0 => a, 1 => b, 2 => c, 3 => d, 4 => e, _ => f } >> (atom & 63) & 1) != 0;

    internal readonly bool Covers(in AtomSet need) => (a & need.a) == need.a && (b & need.b) == need.b && (c & need.c) == need.c && (d & need.d) == need.d && (e & need.e) == need.e && (f & need.f) == need.f;

    internal readonly bool Meets(in AtomSet other) => ((a & other.a) | (b & other.b) | (c & other.c) | (d & other.d) | (e & other.e) | (f & other.f)) != 0;

    internal readonly AtomSet Without(in AtomSet other) => new() { a = a & ~other.a, b = b & ~other.b, c = c & ~other.c, d = d & ~other.d, e = e & ~other.e, f = f & ~other.f };

    internal readonly AtomSet Only(in AtomSet other) => new() { a = a & other.a, b = b & other.b, c = c & other.c, d = d & other.d, e = e & other.e, f = f & other.f };

    internal void Add(int atom)
    {
        var bit = 1UL << (atom & 63);
        switch (atom >> 6)
        {
            case 0: a |= bit; break;
            case 1: b |= bit; break;
            case 2: c |= bit; break;
            case 3: d |= bit; break;
            case 4: e |= bit; break;
            default: f |= bit; break;
        }
    }

    internal void Add(in AtomSet other)
    {
        a |= other.a;
        b |= other.b;
        c |= other.c;
        d |= other.d;
        e |= other.e;
        f |= other.f;
    }
}
