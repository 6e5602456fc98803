using System.Collections.Concurrent;
using System.Net;
using System.Security.Cryptography;
using System.Text;

namespace AftercarePortal.Demo.LoopbackPhone;

/// <summary>A small carrier on this machine: takes texts and calls as the real one documents it, and delivers signed messages to the portal.</summary>
internal sealed class LoopbackCarrier(string accountSid, string authToken, Uri portal, string publicUrl)
{
    private readonly HttpClient _http = new() { BaseAddress = portal };
    private readonly ConcurrentQueue<Line> _inbound = new();
    private int _count;

    /// <summary>Everything that was sent, oldest first.</summary>
    public ConcurrentQueue<Line> Lines { get; } = new();

    /// <summary>One text, or one call whose text is its TwiML.</summary>
    internal sealed record Line(string Sid, string From, string To, string Text, bool IsCall, DateTimeOffset At);

    /// <summary>HTTP statuses the next sends are answered with instead of being taken; for tests and for trying out a bad day.</summary>
    public ConcurrentQueue<int> NextFaults { get; } = new();

    public void Map(WebApplication app)
    {
        app.MapPost("/2010-04-01/Accounts/{account}/Messages.json", (HttpRequest request, string account) => Take(request, account, "SM", "Body"));
        app.MapGet("/2010-04-01/Accounts/{account}/Messages.json", List);
        app.MapPost("/2010-04-01/Accounts/{account}/Calls.json", (HttpRequest request, string account) => Take(request, account, "CA", "Twiml"));
    }

    /// <summary>A phone sends a text to one of the clinic's numbers.</summary>
    public Task<HttpStatusCode> Text(string from, string to, string body)
    {
        var line = TextWithoutWebhook(from, to, body);
        return Deliver("/carrier/inbound", new() { ["MessageSid"] = line.Sid, ["AccountSid"] = accountSid, ["From"] = from, ["To"] = to, ["Body"] = body, ["NumMedia"] = "0" });
    }

    /// <summary>A text the carrier holds but could not deliver, as in an outage of the portal.</summary>
    public Line TextWithoutWebhook(string from, string to, string body)
    {
        var line = new Line(NextSid("SM"), from, to, body, IsCall: false, DateTimeOffset.UtcNow);
        _inbound.Enqueue(line);
        return line;
    }

    /// <summary>A key is pressed during a call.</summary>
    /// <returns>False when there is no such call.</returns>
    public async Task<bool> Press(string callSid, string digit)
    {
        if (Lines.SingleOrDefault(l => l.Sid == callSid && l.IsCall) is not { } call) return false;
        var action = WebUtility.HtmlDecode(call.Text.Split("action=\"")[1].Split('"')[0]);
        await Deliver(new Uri(action).PathAndQuery, new() { ["CallSid"] = callSid, ["From"] = call.From, ["To"] = call.To, ["Digits"] = digit });
        return true;
    }

    private IResult List(HttpRequest request, string account)
    {
        if (!MayAsk(request, account)) return Refusal();
        var to = request.Query["To"].ToString();
        var messages = _inbound.Where(l => l.To == to).Select(l => new
        {
            sid = l.Sid, account_sid = accountSid, from = l.From, to = l.To, body = l.Text, num_media = "0", direction = "inbound", status = "received",
        });
        var path = $"/2010-04-01/Accounts/{accountSid}/Messages.json";
        return Results.Json(new { messages, page = 0, page_size = 1000, start = 0, end = 0, uri = path, first_page_uri = path, next_page_uri = (string?)null, previous_page_uri = (string?)null });
    }

    private bool MayAsk(HttpRequest request, string account) =>
        account == accountSid && request.Headers.Authorization == "Basic " + Convert.ToBase64String(Encoding.ASCII.GetBytes($"{accountSid}:{authToken}"));

    private static IResult Refusal() => Results.Json(new { code = 20003, message = "Authenticate", status = 401 }, statusCode: 401);

    private async Task<IResult> Take(HttpRequest request, string account, string kind, string field)
    {
        if (!MayAsk(request, account)) return Refusal();
        if (NextFaults.TryDequeue(out var fault))
            return Results.Json(new { code = fault == 429 ? 20429 : 20500, message = "Fault on purpose", status = fault }, statusCode: fault);
        var form = await request.ReadFormAsync();
        var line = new Line(NextSid(kind), form["From"].ToString(), form["To"].ToString(), form[field].ToString(), kind == "CA", DateTimeOffset.UtcNow);
        Lines.Enqueue(line);
        return Results.Json(new { sid = line.Sid, account_sid = accountSid, status = "queued", from = line.From, to = line.To, body = line.Text }, statusCode: 201);
    }

    private string NextSid(string kind) => $"{kind}{Interlocked.Increment(ref _count):x8}{RandomNumberGenerator.GetHexString(24, lowercase: true)}";

    private async Task<HttpStatusCode> Deliver(string path, Dictionary<string, string> fields)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, path) { Content = new FormUrlEncodedContent(fields) };
        var signed = publicUrl + path + string.Concat(fields.OrderBy(f => f.Key, StringComparer.Ordinal).Select(f => f.Key + f.Value));
        request.Headers.Add("X-Twilio-Signature", Convert.ToBase64String(HMACSHA1.HashData(Encoding.UTF8.GetBytes(authToken), Encoding.UTF8.GetBytes(signed))));
        using var answer = await _http.SendAsync(request);
        return answer.StatusCode;
    }
}
