using System.Collections.Concurrent;

namespace AftercarePortal.Demo.LoopbackPhone;

/// <summary>Reports to the portal how texts and calls fared, signed, as the carrier does.</summary>
/// <param name="deliver">Posts signed fields to a path of the portal.</param>
internal sealed class LoopbackStatus(Func<string, Dictionary<string, string>, Task> deliver)
{
    /// <summary>Ends the next texts or calls badly instead of well.</summary>
    /// <param name="Status"><c>undelivered</c> or <c>failed</c> for a text; <c>busy</c>, <c>no-answer</c> or <c>failed</c> for a call.</param>
    /// <param name="ErrorCode">The carrier's code, for example 30003: phone switched off or out of reach.</param>
    internal sealed record BadEnd(string Status, int ErrorCode);

    /// <inheritdoc cref="BadEnd" />
    public ConcurrentQueue<BadEnd> NextBadEnds { get; } = new();

    /// <summary>The last status of each text and call, by its id.</summary>
    public ConcurrentDictionary<string, string> Last { get; } = new();

    /// <summary>What happens by itself after the carrier took it: a text ends; a call rings, and ends here only when it ends badly.</summary>
    public async Task Run(LoopbackCarrier.Line line)
    {
        var bad = NextBadEnds.TryDequeue(out var end) ? end : null;
        foreach (var status in line.IsCall ? new[] { "initiated", "ringing" } : ["queued", "sent"]) await Report(line, status);
        if (bad is not null) await Report(line, bad.Status, bad.ErrorCode);
        else if (!line.IsCall) await Report(line, "delivered");
    }

    /// <summary>Reports one status.</summary>
    public async Task Report(LoopbackCarrier.Line line, string status, int? errorCode = null)
    {
        Last[line.Sid] = status;
        if (line.Callback is null) return;
        var fields = new Dictionary<string, string>
        {
            [line.IsCall ? "CallSid" : "MessageSid"] = line.Sid, [line.IsCall ? "CallStatus" : "MessageStatus"] = status, ["From"] = line.From, ["To"] = line.To,
        };
        if (errorCode is { } code) fields["ErrorCode"] = code.ToString();
        await deliver(line.Callback.PathAndQuery, fields);
    }
}
