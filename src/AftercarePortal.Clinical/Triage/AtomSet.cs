using System.Runtime.CompilerServices;

namespace AftercarePortal.Clinical.Triage;

/// <summary>A set of up to 384 atoms by number.</summary>
internal struct AtomSet
{
    internal const int Most = Words * 64;
    private const int Words = 6;
    private Bits bits;

    internal readonly bool IsEmpty => (bits[0] | bits[1] | bits[2] | bits[3] | bits[4] | bits[5]) == 0;

    internal readonly bool Has(int atom) => (bits[atom >> 6] >> (atom & 63) & 1) != 0;

    internal readonly bool Meets(in AtomSet other)
    {
        for (var i = 0; i < Words; i++)
            if ((bits[i] & other.bits[i]) != 0) return true;
        return false;
    }

    internal readonly AtomSet Without(in AtomSet other)
    {
        var left = this;
        for (var i = 0; i < Words; i++) left.bits[i] &= ~other.bits[i];
        return left;
    }

    internal readonly AtomSet Only(in AtomSet other)
    {
        var left = this;
        for (var i = 0; i < Words; i++) left.bits[i] &= other.bits[i];
        return left;
    }

    internal void Add(int atom) => bits[atom >> 6] |= 1UL << (atom & 63);

    internal void Add(in AtomSet other)
    {
        for (var i = 0; i < Words; i++) bits[i] |= other.bits[i];
    }

    [InlineArray(Words)]
    private struct Bits
    {
        private ulong first;
    }
}
