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
    private static readonly TimeSpan Most = TimeSpan.FromSeconds(10);
    // Of the account or of a full queue, not of the text: credentials refused (messaging dossier 1.5), account not active (from memory), queue of our number full (carrier's page of error 21611), too many at once.
    private static readonly int[] NotOfTheText = [20003, 20005, 20429, 21611];

    private readonly TwilioRestClient _client, _hurried;

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
        handler = new RefusedAtTheDoor(handler);
        (_client, _hurried) = (Client(Most), Client(TimeSpan.FromSeconds(o.ListSeconds)));

        TwilioRestClient Client(TimeSpan most) =>
            new(o.AccountSid, o.AuthToken, httpClient: new SystemNetHttpClient(new System.Net.Http.HttpClient(handler, disposeHandler: false) { Timeout = most }));
    }

    /// <summary>Sends one text. <paramref name="validitySeconds"/>: 1 to 36,000, how long the carrier may hold it.</summary>
    public Task<SendOutcome> SendText(string from, string to, string text, Uri statusCallback, int validitySeconds, CancellationToken stop) =>
        Ask(async () => (await MessageResource.CreateAsync(
            new CreateMessageOptions(new PhoneNumber(to)) { From = new PhoneNumber(from), Body = text, StatusCallback = statusCallback, ValidityPeriod = validitySeconds },
            _client))?.Sid);

    /// <summary>Places one call that speaks <paramref name="twiml"/>. Rings 25 seconds, so that a voice box does not answer.</summary>
    public Task<SendOutcome> Call(string from, string to, string twiml, Uri statusCallback, CancellationToken stop) =>
        Ask(async () => (await CallResource.CreateAsync(
            new CreateCallOptions(new PhoneNumber(to), new PhoneNumber(from))
            {
                Twiml = new Twiml(twiml), Timeout = 25, StatusCallback = statusCallback, StatusCallbackEvent = ["initiated", "ringing", "answered", "completed"],
            },
            _client))?.Sid);

    /// <summary>Messages sent to one of our numbers since an instant, as the carrier keeps them, the oldest first: also those no webhook brought.</summary>
    /// <exception cref="TwilioException">The carrier did not answer.</exception>
    public async Task<IReadOnlyList<ListedMessage>> ListInbound(string to, NodaTime.Instant since, CancellationToken stop)
    {
        var listed = await Listed(() => MessageResource.ReadAsync(to: new PhoneNumber(to), dateSentAfter: since.ToDateTimeUtc(), pageSize: 1000, client: _client));
        return
        [
            // The list begins with the newest, and its times are whole seconds: a STOP and the START after it must be kept in the order they were written.
            .. listed.Where(m => m.Direction == MessageResource.DirectionEnum.Inbound).Reverse().OrderBy(CreatedAt)
                .Select(m => new ListedMessage(m.Sid, m.From.ToString(), m.To, m.Body ?? "", int.TryParse(m.NumMedia, out var media) ? media : 0) { WrittenAt = CreatedAt(m) }),
        ];
    }

    /// <summary>The texts with these very words that went to a number since an instant, the newest first: what became of a send nobody knows about. Waits <see cref="CarrierOptions.ListSeconds"/> and no longer: something is to be repeated.</summary>
    /// <exception cref="TwilioException">The carrier did not answer.</exception>
    public async Task<IReadOnlyList<SentText>> FindSent(string to, string text, NodaTime.Instant since) =>
        [.. (await LastTo(to, _hurried)).Where(m => m.Direction != MessageResource.DirectionEnum.Inbound && m.Body == text && CreatedAt(m) >= since).Select(Sent)];

    /// <summary>One text to a number; null when it is not among the last hundred.</summary>
    /// <exception cref="TwilioException">The carrier did not answer.</exception>
    public async Task<SentText?> FindSent(string to, string sid) => (await LastTo(to, _client)).Where(m => m.Sid == sid).Select(Sent).FirstOrDefault();

    /// <summary>Ids of the files that came with one message, in the order of the ids: for messages no webhook brought.</summary>
    /// <exception cref="TwilioException">The carrier did not answer.</exception>
    public async Task<IReadOnlyList<string>> ListMedia(string messageSid)
    {
        var listed = await Listed(() => Twilio.Rest.Api.V2010.Account.Message.MediaResource.ReadAsync(pathMessageSid: messageSid, client: _client));
        return [.. listed.Select(m => m.Sid).Order(StringComparer.Ordinal)];
    }

    // "+0000" in the carrier's list becomes the host's own time in the SDK: compared as it is, it would be hours off on a host that does not run on UTC.
    private static NodaTime.Instant? CreatedAt(MessageResource message) =>
        message.DateCreated is { } at ? NodaTime.Instant.FromDateTimeUtc(at.ToUniversalTime()) : null;

    private static SentText Sent(MessageResource message) => new(message.Sid, message.Status?.ToString() ?? "", message.ErrorCode, CreatedAt(message));

    private static Task<List<MessageResource>> LastTo(string to, TwilioRestClient client) =>
        Listed(() => MessageResource.ReadAsync(to: new PhoneNumber(to), pageSize: 100, limit: 100, client: client));

    // The pages after the first are asked for as they are read. What is no list (a proxy's own page, half an answer) throws as many things as there are ways to be none.
    private static async Task<List<T>> Listed<T>(Func<Task<Twilio.Base.ResourceSet<T>>> read) where T : Twilio.Base.Resource
    {
        try
        {
            return [.. await read()];
        }
        catch (Exception broken) when (broken is not TwilioException)
        {
            throw new ApiConnectionException("The answer is no list.", broken);
        }
    }

    private static async Task<SendOutcome> Ask(Func<Task<string?>> ask)
    {
        try
        {
            return await ask() is { Length: > 0 } sid ? new SendOutcome.Accepted(sid) : new SendOutcome.Unclear("an answer without an id");
        }
        catch (ApiException refusal) when (refusal.Status is >= 400 and < 500)
        {
            return NotOfTheText.Contains(refusal.Code) ? new SendOutcome.NotTaken() : new SendOutcome.Refused(refusal.Code);
        }
        catch (TwilioException atTheDoor) when (atTheDoor.InnerException is RefusedAtTheDoor.NotTakenException)
        {
            return new SendOutcome.NotTaken(((RefusedAtTheDoor.NotTakenException)atTheDoor.InnerException).After);
        }
        catch (TwilioException apart) when (NothingLeft(apart))
        {
            return new SendOutcome.NotTaken();
        }
        catch (Exception unclear) when (unclear is TwilioException or HttpRequestException or TaskCanceledException or IOException)
        {
            return new SendOutcome.Unclear(unclear.GetType().Name);
        }
    }

    // No name, no connection, no TLS or no way through a proxy: not one byte of the request went out.
    private static bool NothingLeft(Exception fault) =>
        fault is HttpRequestException { HttpRequestError: HttpRequestError.NameResolutionError or HttpRequestError.ConnectionError or HttpRequestError.SecureConnectionError or HttpRequestError.ProxyTunnelError }
        || (fault.InnerException is { } inner && NothingLeft(inner));

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
