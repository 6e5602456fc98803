namespace AftercarePortal.Web.Data;

/// <summary>Ids in the order they were made, also within one millisecond, where version 7 ids are in random order.</summary>
/// <remarks>For rows whose order decides something and whose instants may be equal: the chain of events of an escalation, jobs, STOP and START.</remarks>
internal static class OrderedId
{
    private static readonly Lock Turn = new();
    private static long _millisecond;
    private static int _count;

    /// <summary>A version 7 id, larger than every one this process made before.</summary>
    public static Guid New()
    {
        Span<byte> bytes = stackalloc byte[16];
        lock (Turn)
        {
            var now = DateTimeOffset.UtcNow.ToUnixTimeMilliseconds();
            if (now > _millisecond) (_millisecond, _count) = (now, 0);
            else if (++_count > 0xFFF) (_millisecond, _count) = (_millisecond + 1, 0);      // ahead of the clock rather than out of order
            Guid.CreateVersion7(DateTimeOffset.FromUnixTimeMilliseconds(_millisecond)).TryWriteBytes(bytes, bigEndian: true, out _);
            bytes[6] = (byte)(0x70 | _count >> 8);
            bytes[7] = (byte)_count;
        }

        return new(bytes, bigEndian: true);
    }
}
