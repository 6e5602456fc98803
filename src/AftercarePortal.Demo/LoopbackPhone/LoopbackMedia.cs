using System.Collections.Concurrent;
using System.Security.Cryptography;

namespace AftercarePortal.Demo.LoopbackPhone;

/// <summary>Files that came with messages, given out as the carrier does: basic auth, then a redirect to an address that works for a short time and takes no credentials.</summary>
internal sealed class LoopbackMedia(string accountSid)
{
    private static readonly TimeSpan AddressLives = TimeSpan.FromMinutes(2);
    private readonly ConcurrentDictionary<string, SentFile> _files = new();
    private readonly ConcurrentDictionary<string, (SentFile File, DateTimeOffset Until)> _addresses = new();

    /// <summary>One file of one message.</summary>
    internal sealed record SentFile(string Sid, string MessageSid, byte[] Bytes, string ContentType);

    /// <summary>HTTP statuses the next requests for a file are answered with.</summary>
    public ConcurrentQueue<int> NextFaults { get; } = new();

    /// <summary>Where the next requests are redirected instead of to our storage; for tests.</summary>
    public ConcurrentQueue<string> NextRedirects { get; } = new();

    /// <summary>Awaited before a file is given out; for a slow day.</summary>
    public Func<Task> Before { get; set; } = () => Task.CompletedTask;

    /// <summary>Gives files out without saying how long they are.</summary>
    public bool HidesLength { get; set; }

    /// <summary>How many files the list of a message shows at most: lists lag behind.</summary>
    public int MostListed { get; set; } = int.MaxValue;

    public void Map(WebApplication app, Func<HttpRequest, string, bool> mayAsk, Func<IResult> refusal)
    {
        app.MapGet("/2010-04-01/Accounts/{account}/Messages/{message}/Media/{media}", async (HttpRequest request, string account, string message, string media) =>
        {
            if (!mayAsk(request, account)) return refusal();
            await Before();
            if (NextFaults.TryDequeue(out var fault)) return Results.StatusCode(fault);
            if (NextRedirects.TryDequeue(out var elsewhere)) return Results.Redirect(elsewhere, preserveMethod: true);
            if (!_files.TryGetValue(media, out var file) || file.MessageSid != message) return Results.NotFound();
            var address = RandomNumberGenerator.GetHexString(32);
            _addresses[address] = (file, DateTimeOffset.UtcNow + AddressLives);
            return Results.Redirect("/storage/" + address, preserveMethod: true);
        });
        app.MapGet("/2010-04-01/Accounts/{account}/Messages/{message}/Media.json", (HttpRequest request, string account, string message) => mayAsk(request, account) ? List(message) : refusal());
        app.MapGet("/storage/{address}", (HttpRequest request, string address) =>
            request.Headers.Authorization.Count > 0 ? Results.BadRequest("Only one kind of proof is taken.")
            : !_addresses.TryGetValue(address, out var found) || found.Until < DateTimeOffset.UtcNow ? Results.StatusCode(StatusCodes.Status403Forbidden)
            : HidesLength ? Results.Stream(to => to.WriteAsync(found.File.Bytes).AsTask(), found.File.ContentType)
            : Results.Bytes(found.File.Bytes, found.File.ContentType));
    }

    /// <summary>Keeps the files of one message.</summary>
    public IReadOnlyList<SentFile> Keep(string messageSid, IReadOnlyList<(byte[] Bytes, string ContentType)> files)
    {
        SentFile[] kept = [.. files.Select(f => new SentFile("ME" + RandomNumberGenerator.GetHexString(32, lowercase: true), messageSid, f.Bytes, f.ContentType))];
        foreach (var file in kept) _files[file.Sid] = file;
        return kept;
    }

    /// <summary>One file; null when there is none with this id.</summary>
    public SentFile? Find(string sid) => _files.GetValueOrDefault(sid);

    private IResult List(string message)
    {
        var path = $"/2010-04-01/Accounts/{accountSid}/Messages/{message}/Media.json";
        var list = _files.Values.Where(f => f.MessageSid == message).OrderByDescending(f => f.Sid, StringComparer.Ordinal).Take(MostListed).Select(f => new
        {
            sid = f.Sid, account_sid = accountSid, parent_sid = message, content_type = f.ContentType, uri = path.Replace(".json", $"/{f.Sid}.json", StringComparison.Ordinal),
        });
        return Results.Json(new { media_list = list, page = 0, page_size = 50, start = 0, end = 0, uri = path, first_page_uri = path, next_page_uri = (string?)null, previous_page_uri = (string?)null });
    }
}
