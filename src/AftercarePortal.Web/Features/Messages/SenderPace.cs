using AftercarePortal.Web.Carrier;
using Microsoft.Extensions.Options;
using NodaTime;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Keeps the everyday texts of each of our numbers to its rate. The carrier queues what comes faster, one queue a number: a safety reply would wait behind 200 aftercare texts (H5).</summary>
/// <remarks>Pages and safety replies are never held. Each node counts for itself: with several, give each its share. Kept in memory: a restart allows one burst more.</remarks>
internal sealed class SenderPace(IOptions<CarrierOptions> options)
{
    /// <summary>Everyday texts that may go at once before the rate holds: so many seconds at most, at one a second, a safety reply waits at the carrier.</summary>
    public const int Burst = 20;

    private readonly Lock _turn = new();
    private readonly Dictionary<string, (Instant Next, Instant Promised)> _numbers = [];

    /// <summary>When an everyday text of this number may go: now, or an instant nobody else was promised.</summary>
    public Instant MayGoAt(string number, Instant now)
    {
        if (options.Value.TextsPerSecond <= 0) return now;
        var gap = Duration.FromSeconds(1 / options.Value.TextsPerSecond);
        lock (_turn)
        {
            var (next, promised) = _numbers.GetValueOrDefault(number, (now, now));
            if (next > now + (gap * (Burst + 1))) (next, promised) = (now, now);             // the clock was set back
            var free = next - (gap * (Burst - 1));
            if (free <= now)
            {
                _numbers[number] = (Instant.Max(next, now) + gap, promised);
                return now;
            }

            promised = Instant.Max(promised + gap, free);
            _numbers[number] = (next, promised);
            return promised;
        }
    }
}
