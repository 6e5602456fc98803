using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace AftercarePortal.Clinical.Triage;

/// <summary>A set of up to 512 atoms by number.</summary>
internal struct AtomSet
{
    internal const int Most = Words * 64;
    private const int Words = 8;
    private const int Half = Words / 2;
    private Bits bits;

    // Two wide registers instead of eight words: readings spend a fifth of their time in these few lines.
    private readonly Vector256<ulong> Low => Vector256.LoadUnsafe(in bits[0]);

    private readonly Vector256<ulong> High => Vector256.LoadUnsafe(in bits[Half]);

    internal readonly bool IsEmpty => (Low | High) == Vector256<ulong>.Zero;

    internal readonly bool Has(int atom) => (bits[atom >> 6] >> (atom & 63) & 1) != 0;

    internal readonly bool Meets(in AtomSet other) => ((Low & other.Low) | (High & other.High)) != Vector256<ulong>.Zero;

    internal readonly AtomSet Without(in AtomSet other) => Of(Vector256.AndNot(Low, other.Low), Vector256.AndNot(High, other.High));

    internal readonly AtomSet Only(in AtomSet other) => Of(Low & other.Low, High & other.High);

    internal void Add(int atom) => bits[atom >> 6] |= 1UL << (atom & 63);

    internal void Add(in AtomSet other) => this = Of(Low | other.Low, High | other.High);

    private static AtomSet Of(Vector256<ulong> low, Vector256<ulong> high)
    {
        var set = default(AtomSet);
        low.StoreUnsafe(ref set.bits[0]);
        high.StoreUnsafe(ref set.bits[Half]);
        return set;
    }

    [InlineArray(Words)]
    private struct Bits
    {
        private ulong first;
    }
}
