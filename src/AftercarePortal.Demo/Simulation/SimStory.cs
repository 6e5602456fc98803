using System.Text.RegularExpressions;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using Microsoft.Extensions.Primitives;
using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>What happens in one seed's story from outside: what patients write, how clinicians answer pages, how the carrier reports.</summary>
internal sealed partial class SimStory
{
    private const int MostMessages = 7;
    private static readonly string[] Words =
    [
        "my skin has gone white and cold where you injected and it is getting worse zebra", "I cannot see out of one eye zebra", "thank you zebra", "it hurts more and more zebra",
        "STOP", "STOP", "START", "", "qwxz brrt zebra", "it is not", "getting better", "HELP",
    ];
    // Evenings before the clocks change, an ordinary day and the leap day.
    private static readonly (Instant Start, string Zone)[] Nights =
    [
        (Instant.FromUtc(2026, 11, 1, 0, 0), "America/New_York"), (Instant.FromUtc(2027, 3, 14, 1, 0), "America/New_York"), (Instant.FromUtc(2027, 3, 27, 19, 0), "Europe/London"),
        (Instant.FromUtc(2026, 10, 3, 10, 0), "Australia/Lord_Howe"), (Instant.FromUtc(2026, 12, 2, 15, 0), "America/New_York"), (Instant.FromUtc(2028, 2, 28, 20, 0), "Europe/London"),
    ];
    private readonly SimWorld _world;
    private readonly Dictionary<Guid, (string Name, string[] Key)> _names = [];

    public SimStory(SimWorld world)
    {
        _world = world;
        (Start, Zone) = Nights[Of("night", Nights.Length)];
        var outage = world.LeftOut("outage") ? 0 : Of("outage", 100);
        OutageFor = outage switch { < 75 => Duration.Zero, < 95 => Duration.FromMinutes(5 + Of("outage minutes", 175)), _ => Duration.FromHours(24 + Of("outage hours", 900)) };
        FaultsEnd = Start + Duration.FromHours(3) + OutageFor;
        End = FaultsEnd + Duration.FromHours(5);
    }

    /// <summary>What can be left out of a telling.</summary>
    public static IReadOnlyList<string> Parts { get; } =
        [.. Enumerable.Range(0, MostMessages).Select(i => $"message {i}"), "outage", "crashes", "others act meanwhile", "wrong clock", "clocks apart", .. Enumerable.Range(0, SimClinic.Patients).Select(i => $"steps of patient {i}")];

    public Instant Start { get; }
    public string Zone { get; }
    public Instant FaultsEnd { get; }
    public Instant End { get; }
    public Duration OutageFor { get; }

    /// <summary>Messages the carrier got its 200 for.</summary>
    public List<string> Answered { get; } = [];

    /// <summary>Who has really tried to take which report.</summary>
    public HashSet<(string Person, Guid Report)> Tried { get; } = [];

    /// <summary>How many messages of a report its closer saw.</summary>
    public Dictionary<Guid, int> Seen { get; } = [];

    public async Task Begin(IServiceProvider parts)
    {
        await SimClinic.Open(parts, _world, this);
        for (var i = 0; i < 2 + Of("messages", MostMessages - 1); i++) if (!_world.LeftOut($"message {i}")) Plan(i);
        if (OutageFor > Duration.Zero) _world.At(Start + Minutes("outage at", 120), () => { _world.Outage(OutageFor); return Task.CompletedTask; });
        if (!_world.LeftOut("wrong clock") && Of("wrong clock", 100) < 20)
            _world.At(Start + Minutes("wrong clock at", 150), () =>
            {
                _world.Stage.Clock.Wrong = Duration.FromSeconds(new[] { -1200, -2, 90, 3600 }[Of("wrong by", 4)]);
                _world.Tell($"the machines' clock is wrong by {_world.Stage.Clock.Wrong.TotalSeconds:0} s");
                return Task.CompletedTask;
            });
    }

    /// <summary>A text's key with ids replaced by the order they were first seen in.</summary>
    public string NameOf(Guid outgoing) => Known(outgoing).Name;

    /// <summary>Reports come late, twice, contradictory or never; clinicians answer, pass it on, tap, or sleep.</summary>
    public void CarrierTook(SimCarrier.Held held)
    {
        var (name, key) = Known(held.Outgoing);
        name = $"{name} {_world.Stage.Carrier.Fates[held.Outgoing].Taken}";
        _world.Tell($"carrier takes {name}");
        var wait = Duration.FromSeconds(1 + (Of($"late report {name}", 10) == 0 ? Of($"report after {name}", 5000) : Of($"report after {name}", 90)));
        var fate = _world.FaultsOn ? Of($"report {name}", 12) : 11;
        string[] statuses = fate switch { 0 => [], 1 => ["undelivered"], 2 => ["delivered", "sent", "sent"], 3 => ["sent", "delivered", "undelivered"], _ => held.IsCall ? ["initiated", "completed"] : ["sent", "delivered"] };
        foreach (var (status, nth) in statuses.Select((s, n) => (s, n)))
            _world.At(_world.Now + wait + Duration.FromSeconds(nth), () => _world.Request("a status report", s => Service<KeepDelivery>(s).Run(held.Outgoing, Form(("MessageStatus", status)))));
        if (fate is 1 || held.IsCall || key is not ["page" or "remind" or "more", var report, ..] || SimClinic.PersonAt(held.To) is not { } person) return;
        new SimClinician(_world, person, held.To, Guid.Parse(report), name).Paged(wait);
    }

    /// <summary>A phone sends a text; the webhook comes, comes twice, late, or not at all.</summary>
    public async Task Writes(string sid, string from, string to, string words)
    {
        _world.Stage.Carrier.PhoneWrites(sid, from, to, words);
        var way = _world.FaultsOn ? Of($"way {sid}", 12) : 11;
        _world.Tell($"{from} writes \"{Plain(words)}\"{way switch { 0 => ", and no webhook comes", 1 => ", and the webhook comes twice", 2 => ", and the webhook comes late", _ => "" }}");
        if (way == 0) return;
        if (way == 1) _world.At(_world.Now + Duration.FromMilliseconds(Of($"copy {sid}", 3000)), () => Webhook(sid, from, to, words));
        if (way == 2) _world.At(_world.Now + Minutes($"webhook {sid}", 40), () => Webhook(sid, from, to, words));
        else await Webhook(sid, from, to, words);
    }

    public int Of(string name, int below) => _world.Chance.Of(name, below);

    private void Plan(int i)
    {
        var words = Words[Of($"words {i}", Words.Length)];
        var from = SimClinic.PatientNumber(Of($"patient {i}", SimClinic.Patients));
        var to = Of($"to {i}", 20) == 0 ? SimClinic.PageNumber : SimClinic.ClinicNumber;
        // Some come in one breath: the same minute, the same patient, two halves of a thought.
        _world.At(Start + Minutes($"minute {i}", 160) + Duration.FromSeconds(i), () => Writes($"SMin{i}", from, to, words));
        if (Of($"second {i}", 4) == 0)
            _world.At(Start + Minutes($"minute {i}", 160) + Duration.FromSeconds(i + 1), () => Writes($"SMin{i}b", from, to, Words[Of($"second words {i}", Words.Length)]));
    }

    private async Task Webhook(string sid, string from, string to, string words)
    {
        Task<bool> Receive() => _world.Request("a webhook", s => Service<ReceiveMessage>(s).Run(Form(("MessageSid", sid), ("From", from), ("To", to), ("Body", words), ("NumMedia", "0"))));
        if (_world.Stage.Mutant?.AnswersFirst is true)
        {
            Answered.Add(sid);
            _world.At(_world.Now + Duration.FromSeconds(1), Receive);
        }
        else if (await Receive()) Answered.Add(sid);
    }

    private (string Name, string[] Key) Known(Guid outgoing)
    {
        if (_names.TryGetValue(outgoing, out var known)) return known;
        var key = ((string)_world.Rows.One("SELECT Key FROM Outgoing WHERE Id = $0", outgoing.ToString().ToUpperInvariant())!).Split(':');
        return _names[outgoing] = ($"{_names.Count} {string.Join(':', key.Select(p => Ids.Replace(p, "")).Where(p => p.Length > 0 && !(p.Length > 9 && long.TryParse(p, out _))))}", key);
    }

    // A reference is made from a random id.
    private static string Plain(string words) => words.Split(' ') is ["TAKE" or "PASS", _] ? words[..4] : words;

    // Ids are random, and the same seed must tell the same story.
    [GeneratedRegex("-?[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")]
    private static partial Regex Ids { get; }

    private Duration Minutes(string name, int below) => Duration.FromMinutes(Of(name, below)) + Duration.FromSeconds(Of(name + " s", 60));

    private static T Service<T>(IServiceProvider parts) where T : notnull => parts.GetRequiredService<T>();

    private static FormCollection Form(params (string Name, string Value)[] fields) => new(fields.ToDictionary(f => f.Name, f => new StringValues(f.Value)));
}
