using Microsoft.Extensions.Options;
using Twilio.Clients;
using Twilio.Exceptions;
using Twilio.Http;
using Twilio.Rest.Api.V2010.Account;
using Twilio.Types;

namespace AftercarePortal.Web.Carrier;

/// <summary>Sends texts and places calls through the unchanged SDK. It never repeats: the stored row decides that.</summary>
internal sealed class TwilioCarrier
{
    private readonly TwilioRestClient _client;

    public TwilioCarrier(IOptions<CarrierOptions> options)
        : this(options, new SocketsHttpHandler { AllowAutoRedirect = false })
    {
    }

    /// <summary>Over another wire than the network.</summary>
    public TwilioCarrier(IOptions<CarrierOptions> options, System.Net.Http.HttpMessageHandler wire)
    {
        var o = options.Value;
        var handler = wire;
        if (o.BaseUrl.Length > 0) handler = new OtherBase(new Uri(o.BaseUrl), handler);
        var http = new System.Net.Http.HttpClient(handler) { Timeout = TimeSpan.FromSeconds(10) };
        _client = new TwilioRestClient(o.AccountSid, o.AuthToken, httpClient: new SystemNetHttpClient(http));
    }

    /// <summary>Sends one text. <paramref name="validitySeconds"/>: 1 to 36,000, how long the carrier may hold it.</summary>
    public Task<SendOutcome> SendText(string from, string to, string text, Uri statusCallback, int validitySeconds, CancellationToken stop) =>
        Ask(async () => (await MessageResource.CreateAsync(
            new CreateMessageOptions(new PhoneNumber(to)) { From = new PhoneNumber(from), Body = text, StatusCallback = statusCallback, ValidityPeriod = validitySeconds },
            _client)).Sid);

    /// <summary>Places one call that speaks <paramref name="twiml"/>. Rings 25 seconds, so that a voice box does not answer.</summary>
    public Task<SendOutcome> Call(string from, string to, string twiml, Uri statusCallback, CancellationToken stop) =>
        Ask(async () => (await CallResource.CreateAsync(
            new CreateCallOptions(new PhoneNumber(to), new PhoneNumber(from))
            {
                Twiml = new Twiml(twiml), Timeout = 25, StatusCallback = statusCallback, StatusCallbackEvent = ["initiated", "ringing", "answered", "completed"],
            },
            _client)).Sid);

    /// <summary>Messages sent to one of our numbers since an instant, as the carrier keeps them, the oldest first: also those no webhook brought.</summary>
    /// <exception cref="TwilioException">The carrier did not answer.</exception>
    public async Task<IReadOnlyList<ListedMessage>> ListInbound(string to, NodaTime.Instant since, CancellationToken stop)
    {
        var listed = await MessageResource.ReadAsync(to: new PhoneNumber(to), dateSentAfter: since.ToDateTimeUtc(), pageSize: 1000, client: _client);
        return
        [
            // The list begins with the newest, and its times are whole seconds: a STOP and the START after it must be kept in the order they were written.
            .. listed.Where(m => m.Direction == MessageResource.DirectionEnum.Inbound).Reverse().OrderBy(m => m.DateCreated)
                .Select(m => new ListedMessage(m.Sid, m.From.ToString(), m.To, m.Body ?? "", int.TryParse(m.NumMedia, out var media) ? media : 0)
                {
                    WrittenAt = m.DateCreated is { } at ? NodaTime.Instant.FromDateTimeUtc(DateTime.SpecifyKind(at.ToUniversalTime(), DateTimeKind.Utc)) : null,
                }),
        ];
    }

    /// <summary>Ids of the texts with these very words that went to a number since an instant: what became of a send nobody knows about.</summary>
    /// <exception cref="TwilioException">The carrier did not answer.</exception>
    public async Task<IReadOnlyList<string>> FindSent(string to, string text, NodaTime.Instant since)
    {
        var listed = await MessageResource.ReadAsync(to: new PhoneNumber(to), pageSize: 100, limit: 100, client: _client);
        return [.. listed.Where(m => m.Direction != MessageResource.DirectionEnum.Inbound && m.Body == text && m.DateCreated >= since.ToDateTimeUtc()).Select(m => m.Sid)];
    }

    /// <summary>What the carrier says became of one text to a number, for example <c>sent</c>; null when it is not among the last hundred.</summary>
    /// <exception cref="TwilioException">The carrier did not answer.</exception>
    public async Task<string?> StatusOf(string to, string sid)
    {
        var listed = await MessageResource.ReadAsync(to: new PhoneNumber(to), pageSize: 100, limit: 100, client: _client);
        return listed.FirstOrDefault(m => m.Sid == sid)?.Status?.ToString();
    }

    /// <summary>Ids of the files that came with one message, in the order of the ids: for messages no webhook brought.</summary>
    /// <exception cref="TwilioException">The carrier did not answer.</exception>
    public async Task<IReadOnlyList<string>> ListMedia(string messageSid)
    {
        var listed = await Twilio.Rest.Api.V2010.Account.Message.MediaResource.ReadAsync(pathMessageSid: messageSid, client: _client);
        return [.. listed.Select(m => m.Sid).Order(StringComparer.Ordinal)];
    }

    private static async Task<SendOutcome> Ask(Func<Task<string>> ask)
    {
        try
        {
            return new SendOutcome.Accepted(await ask());
        }
        catch (ApiException busy) when (busy.Status is 429)
        {
            return new SendOutcome.Busy();
        }
        catch (ApiException refusal) when (refusal.Status is >= 400 and < 500)
        {
            return new SendOutcome.Refused(refusal.Code);
        }
        catch (Exception unclear) when (unclear is TwilioException or HttpRequestException or TaskCanceledException or IOException)
        {
            return new SendOutcome.Unclear(unclear.GetType().Name);
        }
    }

    /// <summary>Sends the SDK's requests to another scheme, host and port; path and query stay.</summary>
    private sealed class OtherBase(Uri baseUrl, System.Net.Http.HttpMessageHandler inner) : DelegatingHandler(inner)
    {
        protected override Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken stop)
        {
            request.RequestUri = new UriBuilder(request.RequestUri!) { Scheme = baseUrl.Scheme, Host = baseUrl.Host, Port = baseUrl.Port }.Uri;
            return base.SendAsync(request, stop);
        }
    }
}
