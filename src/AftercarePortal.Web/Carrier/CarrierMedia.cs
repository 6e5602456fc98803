using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.RegularExpressions;
using Microsoft.Extensions.Options;

namespace AftercarePortal.Web.Carrier;

/// <summary>Fetches files that came with a message. The webhook's address only names the file: ours is built anew, so nobody sends us elsewhere.</summary>
/// <remarks>
/// The carrier asks for basic auth and answers with a redirect to a short-lived address at its storage (its documentation, media
/// resource). Redirects are followed by hand, three at most, to hosts in <see cref="CarrierOptions.MediaHosts"/>, and never with our credentials.
/// </remarks>
internal sealed partial class CarrierMedia(IOptions<CarrierOptions> options) : IDisposable
{
    private const int MostRedirects = 3;
    /// <summary>For one file, all redirects included; shorter than a job's lease.</summary>
    private static readonly TimeSpan Most = TimeSpan.FromSeconds(15);

    private readonly CarrierOptions _options = options.Value;
    private readonly HttpClient _http = new(new SocketsHttpHandler { AllowAutoRedirect = false, UseCookies = false, ConnectTimeout = TimeSpan.FromSeconds(5) }) { Timeout = Most };

    private Uri Base => new(_options.BaseUrl.Length > 0 ? _options.BaseUrl : "https://api.twilio.com");

    /// <summary>The file's id in an address the carrier gave for this message; null when it is no such address.</summary>
    public string? IdIn(string? address, string messageSid) =>
        Uri.TryCreate(address, UriKind.Absolute, out var given) && given.GetLeftPart(UriPartial.Authority) == Base.GetLeftPart(UriPartial.Authority)
        && given.AbsolutePath.StartsWith(PathOf(messageSid), StringComparison.Ordinal) && given.AbsolutePath[PathOf(messageSid).Length..] is var id && MediaId().IsMatch(id)
            ? id : null;

    /// <summary>Fetches one file of at most <paramref name="mostBytes"/> bytes.</summary>
    public async Task<MediaOutcome> Fetch(string messageSid, string mediaId, int mostBytes, CancellationToken stop)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(stop);
        limit.CancelAfter(Most);
        try
        {
            var address = new Uri(Base, PathOf(messageSid) + mediaId);
            for (var redirects = 0; redirects <= MostRedirects; redirects++)
            {
                using var answer = await Ask(address, withCredentials: redirects == 0, limit.Token);
                if ((int)answer.StatusCode is < 300 or > 399) return await Read(answer, mostBytes, limit.Token);
                if (answer.Headers.Location is not { } next) return new MediaOutcome.Unclear("a redirect to nowhere");
                address = new Uri(address, next);
                if (!MayFollow(address)) return new MediaOutcome.Refused();
            }

            return new MediaOutcome.Unclear("too many redirects");
        }
        catch (Exception unclear) when (unclear is HttpRequestException or IOException or OperationCanceledException && !stop.IsCancellationRequested)
        {
            return new MediaOutcome.Unclear(unclear.GetType().Name);
        }
    }

    public void Dispose() => _http.Dispose();

    private Task<HttpResponseMessage> Ask(Uri address, bool withCredentials, CancellationToken stop)
    {
        var request = new HttpRequestMessage(HttpMethod.Get, address);
        if (withCredentials)
            request.Headers.Authorization = new AuthenticationHeaderValue("Basic", Convert.ToBase64String(Encoding.ASCII.GetBytes($"{_options.AccountSid}:{_options.AuthToken}")));
        return _http.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, stop);
    }

    private bool MayFollow(Uri to) =>
        to.Scheme == Base.Scheme && to.UserInfo.Length == 0
        && (to.Authority == Base.Authority || to.IsDefaultPort && _options.MediaHosts.Any(h => to.Host == h || to.Host.EndsWith("." + h, StringComparison.OrdinalIgnoreCase)));

    private static async Task<MediaOutcome> Read(HttpResponseMessage answer, int mostBytes, CancellationToken stop)
    {
        if (answer.StatusCode is HttpStatusCode.NotFound or HttpStatusCode.Gone) return new MediaOutcome.Gone();
        if (!answer.IsSuccessStatusCode) return new MediaOutcome.Unclear($"HTTP {(int)answer.StatusCode}");
        if (answer.Content.Headers.ContentLength > mostBytes) return new MediaOutcome.TooLarge();
        await using var stream = await answer.Content.ReadAsStreamAsync(stop);
        using var file = new MemoryStream();
        var buffer = new byte[64 * 1024];
        for (int read; (read = await stream.ReadAsync(buffer, stop)) > 0;)
        {
            if (file.Length + read > mostBytes) return new MediaOutcome.TooLarge();
            file.Write(buffer, 0, read);
        }

        return new MediaOutcome.Fetched(file.ToArray(), answer.Content.Headers.ContentType?.MediaType ?? "");
    }

    private string PathOf(string messageSid) => $"/2010-04-01/Accounts/{_options.AccountSid}/Messages/{Uri.EscapeDataString(messageSid)}/Media/";

    [GeneratedRegex("^ME[0-9a-fA-F]{32}$")]
    private static partial Regex MediaId();
}
