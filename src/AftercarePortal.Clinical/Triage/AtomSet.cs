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

    // Written out: a loop over six words costs as much as what it does, and readings spend a fifth of their time here.
    internal readonly bool Meets(in AtomSet other) =>
        ((bits[0] & other.bits[0]) | (bits[1] & other.bits[1]) | (bits[2] & other.bits[2]) | (bits[3] & other.bits[3]) | (bits[4] & other.bits[4]) | (bits[5] & other.bits[5])) != 0;

    internal readonly AtomSet Without(in AtomSet other)
    {
        var left = this;
        left.bits[0] &= ~other.bits[0];
        left.bits[1] &= ~other.bits[1];
        left.bits[2] &= ~other.bits[2];
        left.bits[3] &= ~other.bits[3];
        left.bits[4] &= ~other.bits[4];
        left.bits[5] &= ~other.bits[5];
        return left;
    }

    internal readonly AtomSet Only(in AtomSet other)
    {
        var left = this;
        left.bits[0] &= other.bits[0];
        left.bits[1] &= other.bits[1];
        left.bits[2] &= other.bits[2];
        left.bits[3] &= other.bits[3];
        left.bits[4] &= other.bits[4];
        left.bits[5] &= other.bits[5];
        return left;
    }

    internal void Add(int atom) => bits[atom >> 6] |= 1UL << (atom & 63);

    internal void Add(in AtomSet other)
    {
        bits[0] |= other.bits[0];
        bits[1] |= other.bits[1];
        bits[2] |= other.bits[2];
        bits[3] |= other.bits[3];
        bits[4] |= other.bits[4];
        bits[5] |= other.bits[5];
    }

    [InlineArray(Words)]
    private struct Bits
    {
        private ulong first;
    }
}
