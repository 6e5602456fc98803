using System.Net;
using System.Text.Json;
using Microsoft.AspNetCore.WebUtilities;
using NodaTime;

namespace AftercarePortal.Web.Tests.Simulation;

/// <summary>The carrier behind the unchanged SDK: takes, refuses, is busy, loses its answer; lists what it holds.</summary>
internal sealed class Sim_wire : HttpMessageHandler
{
    public sealed record Held(string Sid, string From, string To, string Text, bool Inbound, bool IsCall, Instant At, Guid Outgoing);

    public Sim_chance Chance { get; set; } = new(0);
    public bool Faults { get; set; } = true;
    public List<Held> All { get; private set; } = [];
    /// <summary>By outgoing id: how often it was taken, and how often nobody could know.</summary>
    public Dictionary<Guid, (int Taken, int Unknown, int Tries)> Fates { get; private set; } = [];
    public Func<Instant> Now { get; set; } = () => default;
    public Action<Held> Took { get; set; } = _ => { };
    public Func<Guid, string> NameOf { get; set; } = id => "";

    public void Begin(Sim_chance chance) => (Chance, All, Fates, Faults) = (chance, [], [], true);

    public Held PhoneWrites(string sid, string from, string to, string text)
    {
        var held = new Held(sid, from, to, text, Inbound: true, IsCall: false, Now(), default);
        All.Add(held);
        return held;
    }

    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        if (request.Method == HttpMethod.Get) return List(QueryHelpers.ParseQuery(request.RequestUri!.Query)["To"].ToString());
        var form = QueryHelpers.ParseQuery(await request.Content!.ReadAsStringAsync(cancellationToken));
        var isCall = request.RequestUri!.AbsolutePath.EndsWith("Calls.json", StringComparison.Ordinal);
        var id = Guid.Parse(QueryHelpers.ParseQuery(new Uri(form["StatusCallback"]!).Query)["o"]!);
        var (taken, unknown, tries) = Fates.GetValueOrDefault(id);
        var draw = Faults ? Chance.Of($"send {NameOf(id)} {tries}", 100) : 99;
        var takes = draw is >= 20 or < 6;
        Fates[id] = (taken + (takes ? 1 : 0), unknown + (draw < 12 ? 1 : 0), tries + 1);
        var held = new Held($"SM{All.Count:x32}", form["From"]!, form["To"]!, (isCall ? form["Twiml"] : form["Body"])!, Inbound: false, isCall, Now(), id);
        if (takes)
        {
            All.Add(held);
            Took(held);
        }

        return draw switch
        {
            < 12 => Answer(HttpStatusCode.ServiceUnavailable, new { code = 20500, message = "down", status = 503 }),      // below 6 it was taken all the same
            < 17 => Answer(HttpStatusCode.TooManyRequests, new { code = 20429, message = "busy", status = 429 }),
            < 20 => Answer(HttpStatusCode.BadRequest, new { code = 21211, message = "no such number", status = 400 }),
            _ => Answer(HttpStatusCode.Created, new { sid = held.Sid, status = "queued" }),
        };
    }

    private HttpResponseMessage List(string to)
    {
        var messages = All.Where(h => h.To == to && !h.IsCall).Select(h => new
        {
            sid = h.Sid, from = h.From, to = h.To, body = h.Text, num_media = "0", direction = h.Inbound ? "inbound" : "outbound-api",
            status = h.Inbound ? "received" : "sent", date_created = h.At.ToDateTimeOffset().ToString("r", System.Globalization.CultureInfo.InvariantCulture),
        });
        return Answer(HttpStatusCode.OK, new { messages, page = 0, page_size = 1000, start = 0, end = 0, uri = "/x", first_page_uri = "/x", next_page_uri = (string?)null, previous_page_uri = (string?)null });
    }

    private static HttpResponseMessage Answer(HttpStatusCode status, object body) => new(status) { Content = new StringContent(JsonSerializer.Serialize(body)) };
}
