using System.Collections.Concurrent;
using System.Net;
using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.WebUtilities;

namespace AftercarePortal.Demo.LoopbackPhone;

/// <summary>A small carrier on this machine: takes texts and calls as the real one documents it, and delivers signed messages to the portal.</summary>
internal sealed class LoopbackCarrier
{
    /// <summary>Of one text (its documentation, message resource).</summary>
    private const int MostCharacters = 1600;
    // One word alone, as its documentation lists them: from then on it refuses texts of that number to that phone. Calls go on.
    private static readonly HashSet<string> StopWords = new(["STOP", "STOPALL", "UNSUBSCRIBE", "CANCEL", "END", "QUIT", "REVOKE", "OPTOUT"], StringComparer.OrdinalIgnoreCase), StartWords = new(["START", "UNSTOP"], StringComparer.OrdinalIgnoreCase);

    private readonly ConcurrentDictionary<(string Number, string Phone), bool> _stopped = new();
    private readonly HttpClient _http = new();
    private readonly string _account, _token, _publicUrl;
    private WebApplication? _app;
    private int _count;

    /// <param name="accountSid">The account both sides know.</param>
    /// <param name="authToken">Its secret: signs, and opens the API.</param>
    /// <param name="portal">Where the portal listens.</param>
    /// <param name="publicUrl">The portal's address as it believes the carrier sees it.</param>
    public LoopbackCarrier(string accountSid, string authToken, Uri portal, string publicUrl)
    {
        (_account, _token, _publicUrl, Portal) = (accountSid, authToken, publicUrl, portal);
        Media = new(accountSid);
        Status = new(Deliver);
    }

    /// <summary>Where the portal listens.</summary>
    public Uri Portal { get; set; }

    /// <summary>Everything that was sent, oldest first.</summary>
    public ConcurrentQueue<Line> Lines { get; } = new();

    /// <summary>Everything phones wrote, oldest first.</summary>
    public ConcurrentQueue<Line> Written { get; } = new();

    /// <summary>Files that came with messages.</summary>
    public LoopbackMedia Media { get; }

    /// <summary>How texts and calls fare.</summary>
    public LoopbackStatus Status { get; }

    /// <summary>What time it is at the carrier.</summary>
    public TimeProvider Time { get; set; } = TimeProvider.System;

    /// <summary>Whether each text and call reports its status by itself.</summary>
    public bool ReportsStatus { get; set; }

    /// <summary>Whether its list of messages is away.</summary>
    public bool ListsNothing { get; set; }

    /// <summary>Messages on one page of its list: fifty when nobody asks for more, a thousand at most.</summary>
    public int MostOnAPage { get; set; } = 1000;

    /// <summary>Bodies the next requests are answered with, as 200 and without being taken: what stands between us and the carrier may answer in its name.</summary>
    public ConcurrentQueue<string> NextNonsense { get; } = new();

    /// <summary>HTTP statuses the next sends are answered with instead of being taken; for tests and for trying out a bad day.</summary>
    public ConcurrentQueue<int> NextFaults { get; } = new();

    /// <summary>Refusals the next sends are answered with instead of being taken: what the carrier or something before it does not want to hear of.</summary>
    public ConcurrentQueue<Turned> NextTurned { get; } = new();

    /// <summary>HTTP statuses the next sends are answered with although they are taken: the answer is lost, the text is not.</summary>
    public ConcurrentQueue<int> NextLostAnswers { get; } = new();

    /// <summary>What the answer to a text (false) or call (true) to a number waits for; for trying out a carrier that hangs.</summary>
    public Func<bool, string, Task> Hangs { get; set; } = (_, _) => Task.CompletedTask;

    /// <summary>What its list of messages waits for.</summary>
    public Func<Task> ListsHang { get; set; } = () => Task.CompletedTask;

    /// <summary>Raised for each text and call that is taken.</summary>
    public event Action<Line>? Took;

    /// <summary>One text, or one call whose text is its TwiML.</summary>
    internal sealed record Line(string Sid, string From, string To, string Text, bool IsCall, DateTimeOffset At, Uri? Callback = null)
    {
        /// <summary>What came with it.</summary>
        public IReadOnlyList<LoopbackMedia.SentFile> Files { get; init; } = [];
    }

    /// <summary>A refusal.</summary>
    /// <param name="Status">HTTP.</param>
    /// <param name="Code">The carrier's; null: a page of something before it, no JSON.</param>
    /// <param name="RetryAfter">Header, when given.</param>
    internal sealed record Turned(int Status, int? Code = null, string? RetryAfter = null);

    public void Map(WebApplication app)
    {
        _app = app;
        app.MapPost("/2010-04-01/Accounts/{account}/Messages.json", (HttpRequest request, string account) => Take(request, account, "SM", "Body"));
        app.MapGet("/2010-04-01/Accounts/{account}/Messages.json", List);
        app.MapPost("/2010-04-01/Accounts/{account}/Calls.json", (HttpRequest request, string account) => Take(request, account, "CA", "Twiml"));
        Media.Map(app, MayAsk, Refusal);
    }

    /// <summary>A phone sends a text, with or without files, to one of the clinic's numbers.</summary>
    public Task<HttpStatusCode> Text(string from, string to, string body, params (byte[] Bytes, string ContentType)[] files)
    {
        var line = TextWithoutWebhook(from, to, body, files);
        var fields = new Dictionary<string, string>
        {
            ["MessageSid"] = line.Sid, ["AccountSid"] = _account, ["From"] = from, ["To"] = to, ["Body"] = body, ["NumMedia"] = line.Files.Count.ToString(),
        };
        for (var i = 0; i < line.Files.Count; i++)
        {
            fields[$"MediaUrl{i}"] = $"{_app!.Urls.First()}/2010-04-01/Accounts/{_account}/Messages/{line.Sid}/Media/{line.Files[i].Sid}";
            fields[$"MediaContentType{i}"] = line.Files[i].ContentType;
        }

        return Deliver("/carrier/inbound", fields);
    }

    /// <summary>A text the carrier holds but could not deliver, as in an outage of the portal.</summary>
    public Line TextWithoutWebhook(string from, string to, string body, params (byte[] Bytes, string ContentType)[] files)
    {
        var sid = NextSid(files.Length > 0 ? "MM" : "SM");
        var line = new Line(sid, from, to, body, IsCall: false, Time.GetUtcNow()) { Files = Media.Keep(sid, files) };
        Written.Enqueue(line);
        if (StopWords.Contains(body.Trim())) _stopped[(to, from)] = true;
        if (StartWords.Contains(body.Trim())) _stopped.TryRemove((to, from), out _);
        return line;
    }

    /// <summary>A key is pressed during a call.</summary>
    /// <returns>False when there is no such call.</returns>
    public async Task<bool> Press(string callSid, string digit)
    {
        if (Lines.SingleOrDefault(l => l.Sid == callSid && l.IsCall) is not { } call) return false;
        if (ReportsStatus) await Status.Report(call, "in-progress");
        var action = WebUtility.HtmlDecode(call.Text.Split("action=\"")[1].Split('"')[0]);
        await Deliver(new Uri(action).PathAndQuery, new() { ["CallSid"] = callSid, ["From"] = call.From, ["To"] = call.To, ["Digits"] = digit });
        if (ReportsStatus) await Status.Report(call, "completed");
        return true;
    }

    private async Task<IResult> List(HttpRequest request, string account)
    {
        if (!MayAsk(request, account)) return Refusal();
        await ListsHang();
        if (NextNonsense.TryDequeue(out var nonsense)) return Results.Text(nonsense);
        if (ListsNothing) return Results.Json(new { code = 20500, message = "Away on purpose", status = 503 }, statusCode: 503);
        var to = request.Query["To"].ToString();
        var since = DateTimeOffset.TryParse(request.Query["DateSent>"], System.Globalization.CultureInfo.InvariantCulture, System.Globalization.DateTimeStyles.AssumeUniversal, out var given) ? given : DateTimeOffset.MinValue;
        var messages = Written.Select(l => (Line: l, Direction: "inbound")).Concat(Lines.Where(l => !l.IsCall).Select(l => (Line: l, Direction: "outbound-api")))
            .Where(m => m.Line.To == to && m.Line.At >= since).Reverse().OrderByDescending(m => m.Line.At).Select(m => new
            {
                sid = m.Line.Sid, account_sid = _account, from = m.Line.From, to = m.Line.To, body = m.Line.Text, num_media = m.Line.Files.Count.ToString(), direction = m.Direction,
                status = m.Direction == "inbound" ? "received" : Status.Last.GetValueOrDefault(m.Line.Sid, "sent"), date_created = CarrierDate.Of(m.Line.At),
            });
        var size = Math.Min(int.TryParse(request.Query["PageSize"], out var asked) ? asked : 50, MostOnAPage);
        var rest = request.Query["PageToken"].ToString() is { Length: > 0 } token ? messages.SkipWhile(m => "PA" + m.sid != token).Skip(1).ToList() : messages.ToList();
        var (page, path) = (rest.Take(size).ToList(), $"/2010-04-01/Accounts/{_account}/Messages.json");
        var next = rest.Count > size ? QueryHelpers.AddQueryString(path, new Dictionary<string, string?> { ["To"] = to, ["DateSent>"] = request.Query["DateSent>"], ["PageSize"] = $"{size}", ["PageToken"] = "PA" + page[^1].sid }) : null;
        return Results.Json(new { messages = page, page_size = size, uri = path, first_page_uri = path, next_page_uri = next, previous_page_uri = (string?)null });
    }

    private bool MayAsk(HttpRequest request, string account) =>
        account == _account && request.Headers.Authorization == "Basic " + Convert.ToBase64String(Encoding.ASCII.GetBytes($"{_account}:{_token}"));

    private static IResult Refusal() => Results.Json(new { code = 20003, message = "Authenticate", status = 401 }, statusCode: 401);

    private async Task<IResult> Take(HttpRequest request, string account, string kind, string field)
    {
        if (!MayAsk(request, account)) return Refusal();
        var form = await request.ReadFormAsync();
        await Hangs(kind == "CA", form["To"].ToString());
        if (NextNonsense.TryDequeue(out var nonsense)) return Results.Text(nonsense);
        if (NextTurned.TryDequeue(out var turned))
        {
            if (turned.RetryAfter is { } after) request.HttpContext.Response.Headers.RetryAfter = after;
            return turned.Code is { } code ? Results.Json(new { code, message = "Turned away on purpose", status = turned.Status }, statusCode: turned.Status)
                : Results.Text("<html><body>Not here.</body></html>", "text/html", statusCode: turned.Status);
        }

        if (NextFaults.TryDequeue(out var fault))
            return Results.Json(new { code = fault == 429 ? 20429 : 20500, message = "Fault on purpose", status = fault }, statusCode: fault);
        if (kind == "SM" && _stopped.ContainsKey((form["From"].ToString(), form["To"].ToString()))) return Results.Json(new { code = 21610, message = "Attempt to send to unsubscribed recipient", status = 400 }, statusCode: 400);
        if (kind == "SM" && form[field].ToString().Length is 0 or > MostCharacters) return Results.Json(new { code = form[field].ToString().Length == 0 ? 21602 : 21617, message = "No text, or too long a one", status = 400 }, statusCode: 400);
        var callback = Uri.TryCreate(form["StatusCallback"], UriKind.Absolute, out var given) ? given : null;
        var line = new Line(NextSid(kind), form["From"].ToString(), form["To"].ToString(), form[field].ToString(), kind == "CA", Time.GetUtcNow(), callback);
        Lines.Enqueue(line);
        Took?.Invoke(line);
        if (ReportsStatus) request.HttpContext.Response.OnCompleted(() => ReportIfHeard(line));
        if (NextLostAnswers.TryDequeue(out var lost)) return Results.Json(new { code = 20500, message = "Answer lost on purpose", status = lost }, statusCode: lost);
        return Results.Json(new { sid = line.Sid, account_sid = _account, status = "queued", from = line.From, to = line.To, body = line.Text }, statusCode: 201);
    }

    // A portal that is away misses its reports: the real carrier does not repeat them either.
    private async Task ReportIfHeard(Line line)
    {
        try
        {
            await Status.Run(line);
        }
        catch (HttpRequestException)
        {
            Status.Last[line.Sid] = "unheard";
        }
    }

    private string NextSid(string kind) => $"{kind}{Interlocked.Increment(ref _count):x8}{RandomNumberGenerator.GetHexString(24, lowercase: true)}";

    private async Task<HttpStatusCode> Deliver(string path, Dictionary<string, string> fields)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(Portal, path)) { Content = new FormUrlEncodedContent(fields) };
        var signed = _publicUrl + path + string.Concat(fields.OrderBy(f => f.Key, StringComparer.Ordinal).Select(f => f.Key + f.Value));
        request.Headers.Add("X-Twilio-Signature", Convert.ToBase64String(HMACSHA1.HashData(Encoding.UTF8.GetBytes(_token), Encoding.UTF8.GetBytes(signed))));
        using var answer = await _http.SendAsync(request);
        return answer.StatusCode;
    }
}
