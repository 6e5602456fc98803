using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>The innermost loop of every sum here.</summary>
internal static class WeightedRow
{
    /// <summary>Adds weight times each number of <paramref name="from"/> to the same place of <paramref name="into"/>; both are equally long. The same bits however wide the processor's vectors are.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Add(Span<double> into, ReadOnlySpan<double> from, double weight)
    {
        var wide = MemoryMarshal.Cast<double, Vector<double>>(into);
        var source = MemoryMarshal.Cast<double, Vector<double>>(from);
        for (var v = 0; v < wide.Length; v++) wide[v] += source[v] * weight;
        for (var j = wide.Length * Vector<double>.Count; j < into.Length; j++) into[j] += weight * from[j];
    }

    /// <summary>Adds each number of <paramref name="from"/> to the same place of <paramref name="into"/>; both are equally long. The same bits however wide the processor's vectors are.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Add(Span<double> into, ReadOnlySpan<double> from)
    {
        var wide = MemoryMarshal.Cast<double, Vector<double>>(into);
        var source = MemoryMarshal.Cast<double, Vector<double>>(from);
        for (var v = 0; v < wide.Length; v++) wide[v] += source[v];
        for (var j = wide.Length * Vector<double>.Count; j < into.Length; j++) into[j] += from[j];
    }
}
