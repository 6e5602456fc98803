using System.Net;
using System.Net.Sockets;
using System.Threading.RateLimiting;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>How often one address may start intakes of one clinic, send them, ask for a lost link, and bring photos. Asked by the page itself, so that who is refused keeps what was typed.</summary>
/// <remarks>Counts live in this process. Behind a proxy the portal must be told to believe its forwarded address, or all people share one. The numbers leave room for a waiting room behind one address: common practice, no source.</remarks>
internal sealed class IntakeLimits(IConfiguration configuration) : IDisposable
{
    private readonly Dictionary<Act, PartitionedRateLimiter<(Guid Clinic, string Address)>> _limiters = new()
    {
        [Act.Start] = Limiter(configuration.GetValue("Intake:MostStarts", 20), TimeSpan.FromMinutes(3)),
        [Act.Send] = Limiter(configuration.GetValue("Intake:MostSends", 12), TimeSpan.FromMinutes(5)),
        [Act.Lost] = Limiter(configuration.GetValue("Intake:MostLost", 5), TimeSpan.FromMinutes(10)),
        [Act.Photos] = Limiter(configuration.GetValue("Intake:MostPhotos", 30), TimeSpan.FromMinutes(1)),
    };

    public enum Act { Start, Send, Lost, Photos }

    /// <summary>Null when it may go on; else how many minutes to wait, 1 or more, with the answer's status and header set.</summary>
    public int? MinutesToWait(Act act, Guid clinic, HttpContext context)
    {
        using var lease = _limiters[act].AttemptAcquire((clinic, AddressOf(context.Connection.RemoteIpAddress)));
        if (lease.IsAcquired) return null;
        var wait = lease.TryGetMetadata(MetadataName.RetryAfter, out var after) ? after : TimeSpan.FromMinutes(5);
        context.Response.StatusCode = StatusCodes.Status429TooManyRequests;
        context.Response.Headers.RetryAfter = $"{(int)Math.Ceiling(wait.TotalSeconds)}";
        return Math.Max(1, (int)Math.Ceiling(wait.TotalMinutes));
    }

    public void Dispose()
    {
        foreach (var limiter in _limiters.Values) limiter.Dispose();
    }

    /// <summary>An IPv4 address, or the /64 network of an IPv6 one: a household has so many of these that each alone would limit nothing.</summary>
    internal static string AddressOf(IPAddress? address) => address switch
    {
        null => "",
        { IsIPv4MappedToIPv6: true } => address.MapToIPv4().ToString(),
        { AddressFamily: AddressFamily.InterNetworkV6 } => Convert.ToHexString(address.GetAddressBytes().AsSpan(0, 8)),
        _ => address.ToString(),
    };

    private static PartitionedRateLimiter<(Guid, string)> Limiter(int most, TimeSpan oneMoreAfter) =>
        PartitionedRateLimiter.Create<(Guid, string), (Guid, string)>(who => RateLimitPartition.GetTokenBucketLimiter(who, _ => new()
        {
            TokenLimit = most, TokensPerPeriod = 1, ReplenishmentPeriod = oneMoreAfter, QueueLimit = 0, AutoReplenishment = true,
        }));
}
