using System.Net;
using System.Text.Json;
using AftercarePortal.Demo.LoopbackPhone;
using Microsoft.AspNetCore.WebUtilities;
using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>The carrier behind the unchanged SDK: takes, refuses, is busy, loses its answer, is away; lists what it holds, late.</summary>
internal sealed class SimCarrier : HttpMessageHandler
{
    public sealed record Held(string Sid, string From, string To, string Text, bool Inbound, bool IsCall, Instant At, Guid Outgoing);

    /// <summary>How often a text was taken, how often nobody could know, how often it was tried.</summary>
    public sealed record Fate(int Taken, int Unknown, int Tries);

    private readonly HashSet<string> _stopped = [];

    public SimChance Chance { get; private set; } = new(0);
    public bool Faults { get; set; } = true;
    public List<Held> All { get; private set; } = [];
    public Dictionary<Guid, Fate> Fates { get; private set; } = [];
    public Func<Instant> Now { get; set; } = () => default;
    public Action<Held> Took { get; set; } = _ => { };
    public Func<Guid, string> NameOf { get; set; } = _ => "";
    /// <summary>Before it hears of a request and after it took one: may throw <see cref="SimCrash"/>.</summary>
    public Action<string> Point { get; set; } = _ => { };

    public void Begin(SimChance chance)
    {
        (Chance, All, Fates, Faults) = (chance, [], [], true);
        _stopped.Clear();
    }

    /// <summary>A phone sends a text. The carrier itself obeys STOP and START.</summary>
    public Held PhoneWrites(string sid, string from, string to, string text)
    {
        if (text is "STOP" or "END") _stopped.Add($"{to} {from}");
        if (text is "START") _stopped.Remove($"{to} {from}");
        var held = new Held(sid, from, to, text, Inbound: true, IsCall: false, Now(), default);
        All.Add(held);
        return held;
    }

    /// <summary>Everyone who wrote STOP to this number writes START.</summary>
    public void ForgetStops(string to) => _stopped.RemoveWhere(pair => pair.StartsWith(to + " ", StringComparison.Ordinal));

    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        Point("before the carrier");
        var away = Faults && Chance.Of($"away {Now().ToUnixTimeSeconds() / 600}", 100) < 4;                // ten minutes at a time
        if (request.Method == HttpMethod.Get) return away ? Answer(HttpStatusCode.ServiceUnavailable, new { code = 20500, status = 503 }) : List(QueryHelpers.ParseQuery(request.RequestUri!.Query)["To"].ToString());
        var form = QueryHelpers.ParseQuery(await request.Content!.ReadAsStringAsync(cancellationToken));
        var isCall = request.RequestUri!.AbsolutePath.EndsWith("Calls.json", StringComparison.Ordinal);
        var id = Guid.Parse(QueryHelpers.ParseQuery(new Uri(form["StatusCallback"]!).Query)["o"]!);
        var fate = Fates.GetValueOrDefault(id) ?? new(0, 0, 0);
        var draw = away ? 8 : Faults ? Chance.Of($"send {NameOf(id)} {fate.Tries}", 100) : 99;
        var blocked = !isCall && _stopped.Contains($"{form["From"]} {form["To"]}");
        var takes = draw is < 5 or >= 18 && !blocked;
        Fates[id] = new(fate.Taken + (takes ? 1 : 0), fate.Unknown + (draw < 9 ? 1 : 0), fate.Tries + 1);
        var held = new Held($"SM{All.Count:x32}", form["From"]!, form["To"]!, (isCall ? form["Twiml"] : form["Body"])!, Inbound: false, isCall, Now(), id);
        if (takes)
        {
            All.Add(held);
            Took(held);
            Point("after the carrier");
        }

        return draw switch
        {
            < 3 => throw new HttpRequestException("reset"),
            9 => throw new HttpRequestException(HttpRequestError.ConnectionError, "no way there"),
            < 9 => Answer(HttpStatusCode.ServiceUnavailable, new { code = 20500, message = "down", status = 503 }),
            < 14 => Answer(HttpStatusCode.TooManyRequests, new { code = 20429, message = "busy", status = 429 }),
            < 18 => Answer(HttpStatusCode.BadRequest, new { code = 21211, message = "no such number", status = 400 }),
            _ when blocked => Answer(HttpStatusCode.BadRequest, new { code = 21610, message = "opted out", status = 400 }),
            _ => Answer(HttpStatusCode.Created, new { sid = held.Sid, status = "queued" }),
        };
    }

    // What came less than twenty seconds ago may not be listed yet.
    private HttpResponseMessage List(string to)
    {
        var until = Now() - (Faults ? Duration.FromSeconds(20) : Duration.Zero);
        var messages = All.Where(h => h.To == to && !h.IsCall && h.At <= until).Reverse().OrderByDescending(h => h.At).Select(h => new
        {
            sid = h.Sid, from = h.From, to = h.To, body = h.Text, num_media = "0", direction = h.Inbound ? "inbound" : "outbound-api",
            status = h.Inbound ? "received" : "sent", date_created = CarrierDate.Of(h.At.ToDateTimeOffset()),
        });
        return Answer(HttpStatusCode.OK, new { messages, page = 0, page_size = 1000, start = 0, end = 0, uri = "/x", first_page_uri = "/x", next_page_uri = (string?)null, previous_page_uri = (string?)null });
    }

    private static HttpResponseMessage Answer(HttpStatusCode status, object body) => new(status) { Content = new StringContent(JsonSerializer.Serialize(body)) };
}
