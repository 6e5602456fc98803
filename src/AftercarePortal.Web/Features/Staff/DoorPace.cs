using System.Threading.RateLimiting;
using AftercarePortal.Web.Features.Shared;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>How often one address may try the staff door in a browser nobody knows, and how many passwords of such are hashed at once.</summary>
/// <remarks>Counts live in this process. <c>Staff:MostTries</c> at once, then one in fifteen seconds: a clinic begins its day behind one address. Common practice, no source.</remarks>
internal sealed class DoorPace(IConfiguration settings) : IDisposable
{
    private readonly PartitionedRateLimiter<string> _addresses = PartitionedRateLimiter.Create<string, string>(address => RateLimitPartition.GetTokenBucketLimiter(address, _ => new()
    {
        TokenLimit = settings.GetValue("Staff:MostTries", 40), TokensPerPeriod = 1, ReplenishmentPeriod = TimeSpan.FromSeconds(15), QueueLimit = 0, AutoReplenishment = true,
    }));

    // A hash takes a processor for a while; strangers get a part of them, and a short line.
    private readonly ConcurrencyLimiter _hashing = new(new() { PermitLimit = Math.Max(1, Environment.ProcessorCount / 2), QueueLimit = 20, QueueProcessingOrder = QueueProcessingOrder.OldestFirst });

    /// <summary>The turn of a stranger to have a password looked at, given back when disposed; null: too many came, nothing is to be looked at.</summary>
    public async Task<IDisposable?> Turn(HttpContext http)
    {
        using var address = _addresses.AttemptAcquire(ClientAddress.Of(http.Connection.RemoteIpAddress));
        if (!address.IsAcquired) return null;
        var turn = await _hashing.AcquireAsync(1, http.RequestAborted);
        if (turn.IsAcquired) return turn;
        turn.Dispose();
        return null;
    }

    public void Dispose()
    {
        _addresses.Dispose();
        _hashing.Dispose();
    }
}
