using System.Net;
using System.Text;

namespace AftercarePortal.Demo.LoopbackPhone;

/// <summary>The page with the handsets: what each phone sent and received, and a form to write from it, with photos.</summary>
internal static class PhonePage
{
    private const int MostFiles = 10, MostBytes = 5_000_000;

    public static void MapPhonePage(this WebApplication app, LoopbackCarrier carrier, IReadOnlyList<(string Name, string Number, string WritesTo)> phones, Func<string> clock)
    {
        app.MapGet("/", () => Results.Content(Html(carrier, phones, clock()), "text/html; charset=utf-8"));
        app.MapPost("/text", async (HttpRequest request) =>
        {
            var form = await request.ReadFormAsync();
            if (phones.SingleOrDefault(p => p.Number == form["from"].ToString()) is not { Number: not null } phone) return Results.BadRequest("There is no handset with this number.");
            if (await FilesOf(form) is not { } files) return Results.BadRequest("The carrier takes at most 10 files with 5 MB together.");
            await carrier.Text(phone.Number, phone.WritesTo, form["body"].ToString(), files);
            return Results.Redirect("/");
        });
        app.MapPost("/press", async (HttpRequest request) =>
        {
            var form = await request.ReadFormAsync();
            return await carrier.Press(form["call"].ToString(), form["digit"].ToString()) ? Results.Redirect("/") : Results.BadRequest("There is no such call.");
        });
        app.MapGet("/sent/{sid}", (HttpResponse response, string sid) =>
        {
            if (carrier.Media.Find(sid) is not { } file) return Results.NotFound();
            response.Headers.XContentTypeOptions = "nosniff";
            response.Headers.CacheControl = "no-store";
            return Results.Bytes(file.Bytes, IsShown(file) ? file.ContentType : "application/octet-stream");
        });
    }

    // A browser sends one empty file when none was chosen.
    private static async Task<(byte[] Bytes, string ContentType)[]?> FilesOf(IFormCollection form)
    {
        var chosen = form.Files.Where(f => f.Length > 0).ToList();
        if (chosen.Count > MostFiles || chosen.Sum(f => f.Length) > MostBytes) return null;
        var files = new List<(byte[], string)>();
        foreach (var file in chosen)
        {
            using var bytes = new MemoryStream();
            await file.CopyToAsync(bytes);
            files.Add((bytes.ToArray(), file.ContentType));
        }

        return [.. files];
    }

    private static string Html(LoopbackCarrier carrier, IReadOnlyList<(string Name, string Number, string WritesTo)> phones, string clock)
    {
        var html = new StringBuilder("""
            <!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
            <title>Loopback phone</title><style>body{font:1rem/1.5 system-ui,sans-serif;margin:1rem;background:#fbfaf7;color:#1d2730}
            section{border:1px solid #c9c4b8;border-radius:.5rem;padding:1rem;margin:0 0 1rem;background:#fff;max-width:34rem}h2{margin-top:0}
            ol{list-style:none;padding:0}li{margin:.5rem 0;padding:.5rem .75rem;border-radius:.5rem;background:#eef2ef;overflow-wrap:anywhere;margin-right:2rem}
            li.sent{background:#e3ebf5;margin:.5rem 0 .5rem 2rem}li small,li.sent a{display:block}li.sent a:has(img){display:inline-block}li img{max-width:8rem;max-height:8rem;border-radius:.3rem;margin:.25rem .25rem 0 0;}
            label{font-weight:600}textarea,input[type=file]{width:100%;font:inherit;box-sizing:border-box;margin:0 0 .75rem}button{font:inherit;min-height:2.75rem;padding:.4rem 1rem}</style></head>
            <body><main><h1>Loopback phone</h1><p>Only for the demo: every number is invented. <a href="/">Look again</a></p>
            """).Append(clock);
        foreach (var (name, number, _) in phones)
        {
            html.Append($"<section><h2>{Safe(name)} <small>{number}</small></h2><ol>");
            foreach (var line in carrier.Lines.Where(l => l.To == number).Concat(carrier.Written.Where(l => l.From == number)).OrderBy(l => l.At).TakeLast(12))
                html.Append(line.From == number ? Sent(line) : Received(line, carrier.Status.Last.GetValueOrDefault(line.Sid)));
            html.Append($"""
                </ol><form method="post" action="/text" enctype="multipart/form-data"><input type="hidden" name="from" value="{number}">
                <label for="b{number}">Write a text</label><textarea id="b{number}" name="body" rows="2"></textarea>
                <label for="p{number}">Photos, 10 at most</label><input id="p{number}" type="file" name="photos" accept="image/*" multiple><button>Send</button></form></section>
                """);
        }

        return html.Append("</main></body></html>").ToString();
    }

    private static string Sent(LoopbackCarrier.Line line) =>
        $"<li class=\"sent\">{Safe(line.Text)}<div>{string.Concat(line.Files.Select((f, i) => IsShown(f)
            ? $"<a href=\"/sent/{f.Sid}\"><img src=\"/sent/{f.Sid}\" alt=\"Photo {i + 1} that was sent\"></a>"
            : $"<a href=\"/sent/{f.Sid}\">File {i + 1} that was sent</a> "))}</div><small>sent</small></li>";

    private static string Received(LoopbackCarrier.Line line, string? status)
    {
        var small = status is null ? "" : $"<small>{Safe(status)}</small>";
        if (!line.IsCall) return $"<li>{Safe(line.Text)}{small}</li>";
        var keys = string.Concat(new[] { "1", "2" }.Select(digit =>
            $"<form method=\"post\" action=\"/press\"><input type=\"hidden\" name=\"call\" value=\"{line.Sid}\"><button name=\"digit\" value=\"{digit}\">Press {digit}</button></form>"));
        return $"<li>Call: {Safe(Spoken(line.Text))}{small}{keys}</li>";
    }

    // What every browser shows, and what can hold no script.
    private static bool IsShown(LoopbackMedia.SentFile file) => file.ContentType is "image/jpeg" or "image/png" or "image/gif" or "image/webp";

    internal static string Spoken(string twiml) => string.Join(' ', System.Xml.Linq.XDocument.Parse(twiml).Descendants("Gather").SelectMany(g => g.Elements("Say")).Select(s => s.Value));

    private static string Safe(string text) => WebUtility.HtmlEncode(text);
}
