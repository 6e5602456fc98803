using System.Threading.RateLimiting;
using AftercarePortal.Web.Features.Shared;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>How often one address may start intakes of one clinic, send them, ask for a lost link, and bring photos; and how often one link may answer, write to the clinic after it was sent, be worked out and be printed. Asked by the page itself, so that who is refused keeps what was typed.</summary>
/// <remarks>Counts live in this process. Behind a proxy the portal must be told to believe its forwarded address, or all people share one. The numbers leave room for a waiting room behind one address: common practice, no source.</remarks>
internal sealed class IntakeLimits(IConfiguration configuration) : IDisposable
{
    private readonly Dictionary<Act, PartitionedRateLimiter<(Guid Clinic, string Address)>> _limiters = new()
    {
        [Act.Start] = Limiter(configuration.GetValue("Intake:MostStarts", 20), TimeSpan.FromMinutes(3)),
        [Act.Send] = Limiter(configuration.GetValue("Intake:MostSends", 12), TimeSpan.FromMinutes(5)),
        [Act.Lost] = Limiter(configuration.GetValue("Intake:MostLost", 5), TimeSpan.FromMinutes(10)),
        [Act.LostNumber] = Limiter(configuration.GetValue("Intake:MostLostOfANumber", 8), TimeSpan.FromHours(2)),
        [Act.Photos] = Limiter(configuration.GetValue("Intake:MostPhotos", 30), TimeSpan.FromMinutes(1)),
        [Act.Answer] = Limiter(configuration.GetValue("Intake:MostAnswers", 200), TimeSpan.FromSeconds(3)),
        [Act.Write] = Limiter(configuration.GetValue("Intake:MostWritten", 20), TimeSpan.FromMinutes(3)),
        [Act.WorkOut] = Limiter(configuration.GetValue("Intake:MostWorkedOut", 15), TimeSpan.FromSeconds(30)),
        [Act.Print] = Limiter(configuration.GetValue("Intake:MostPrinted", 10), TimeSpan.FromSeconds(30)),
    };

    public enum Act { Start, Send, Lost, LostNumber, Photos, Answer, Write, WorkOut, Print }

    /// <summary>Null when it may go on; else how many minutes to wait, 1 or more, with the answer's status and header set.</summary>
    public int? MinutesToWait(Act act, Guid clinic, HttpContext context) => MinutesToWait(act, (clinic, ClientAddress.Of(context.Connection.RemoteIpAddress)), context);

    /// <summary>The same of one intake, from wherever its link is opened: links themselves are bounded by the starts of an address.</summary>
    public int? MinutesToWaitOf(Act act, Guid intake, HttpContext context) => MinutesToWait(act, (intake, ""), context);

    /// <summary>The same about one number of a clinic, from wherever: days of birth are not to be guessed through.</summary>
    public int? MinutesToWaitOf(Act act, Guid clinic, string number, HttpContext context) => MinutesToWait(act, (clinic, number), context);

    private int? MinutesToWait(Act act, (Guid, string) who, HttpContext context)
    {
        using var lease = _limiters[act].AttemptAcquire(who);
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

    private static PartitionedRateLimiter<(Guid, string)> Limiter(int most, TimeSpan oneMoreAfter) =>
        PartitionedRateLimiter.Create<(Guid, string), (Guid, string)>(who => RateLimitPartition.GetTokenBucketLimiter(who, _ => new()
        {
            TokenLimit = most, TokensPerPeriod = 1, ReplenishmentPeriod = oneMoreAfter, QueueLimit = 0, AutoReplenishment = true,
        }));
}
