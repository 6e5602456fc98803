using System.Net;
using NodaTime;

namespace AftercarePortal.Web.Carrier;

/// <summary>Notices answers to a send that say nothing of the text was looked at: the account, its credentials, the pace. With or without a body the SDK can read: a proxy answers in its own words.</summary>
/// <remarks>
/// 429 is documented as never processed (carrier's page of error 20429). 401, 403 and 404 are about the account all our addresses begin with; 408 says that no whole request came (RFC 9110 15.5.9).
/// A 503 may have been given after the text was taken: it stays unclear.
/// </remarks>
internal sealed class RefusedAtTheDoor(HttpMessageHandler inner) : DelegatingHandler(inner)
{
    /// <summary>Nothing was taken.</summary>
    /// <param name="after">How long the answer asks to wait; null: it does not say.</param>
    internal sealed class NotTakenException(int status, Duration? after) : Exception($"HTTP {status}: not taken.")
    {
        /// <summary>How long the answer asks to wait; null: it does not say.</summary>
        public Duration? After => after;
    }

    /// <exception cref="NotTakenException">A send was answered with 401, 403, 404, 408 or 429.</exception>
    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        var answer = await base.SendAsync(request, cancellationToken);
        if (request.Method != HttpMethod.Post
            || answer.StatusCode is not (HttpStatusCode.Unauthorized or HttpStatusCode.Forbidden or HttpStatusCode.NotFound or HttpStatusCode.RequestTimeout or HttpStatusCode.TooManyRequests)) return answer;
        using (answer) throw new NotTakenException((int)answer.StatusCode, After(answer));
    }

    // Seconds or a date (RFC 9110 10.2.3). The date is by the clock that wrote the answer's own Date, which need not be ours.
    private static Duration? After(HttpResponseMessage answer) => answer.Headers.RetryAfter switch
    {
        { Delta: { } seconds } => Duration.FromTimeSpan(seconds),
        { Date: { } until } when answer.Headers.Date is { } written => Duration.FromTimeSpan(until - written),
        _ => null,
    };
}
