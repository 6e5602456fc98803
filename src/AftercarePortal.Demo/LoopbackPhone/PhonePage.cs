using System.Net;
using System.Text;

namespace AftercarePortal.Demo.LoopbackPhone;

/// <summary>The page with the handsets: what each phone received, and a form to write from it.</summary>
internal static class PhonePage
{
    public static void MapPhonePage(this WebApplication app, LoopbackCarrier carrier, IReadOnlyList<(string Name, string Number, string WritesTo)> phones, Func<string> clock)
    {
        app.MapGet("/", () => Results.Content(Html(carrier, phones, clock()), "text/html; charset=utf-8"));
        app.MapPost("/text", async (HttpRequest request) =>
        {
            var form = await request.ReadFormAsync();
            if (phones.SingleOrDefault(p => p.Number == form["from"].ToString()) is not { Number: not null } phone) return Results.BadRequest("There is no handset with this number.");
            await carrier.Text(phone.Number, phone.WritesTo, form["body"].ToString());
            return Results.Redirect("/");
        });
        app.MapPost("/press", async (HttpRequest request) =>
        {
            var form = await request.ReadFormAsync();
            return await carrier.Press(form["call"].ToString(), form["digit"].ToString()) ? Results.Redirect("/") : Results.BadRequest("There is no such call.");
        });
    }

    private static string Html(LoopbackCarrier carrier, IReadOnlyList<(string Name, string Number, string WritesTo)> phones, string clock)
    {
        var html = new StringBuilder("""
            <!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
            <title>Loopback phone</title><style>body{font:1rem/1.5 system-ui,sans-serif;margin:1rem;background:#fbfaf7;color:#1d2730}
            section{border:1px solid #c9c4b8;border-radius:.5rem;padding:1rem;margin:0 0 1rem;background:#fff;max-width:34rem}
            li{margin:.5rem 0;overflow-wrap:anywhere}textarea{width:100%;font:inherit;box-sizing:border-box}button{font:inherit;min-height:2.75rem;padding:.4rem 1rem}</style></head>
            <body><main><h1>Loopback phone</h1><p>Only for the demo: every number is invented. <a href="/">Look again</a></p>
            """).Append(clock);
        foreach (var (name, number, _) in phones)
        {
            html.Append($"<section><h2>{Safe(name)} <small>{number}</small></h2><ol>");
            foreach (var line in carrier.Lines.Where(l => l.To == number).TakeLast(12))
            {
                html.Append(line.IsCall ? $"<li>Call: {Safe(Spoken(line.Text))}" : $"<li>{Safe(line.Text)}");
                if (line.IsCall)
                    foreach (var digit in new[] { "1", "2" })
                        html.Append($"<form method=\"post\" action=\"/press\"><input type=\"hidden\" name=\"call\" value=\"{line.Sid}\"><button name=\"digit\" value=\"{digit}\">Press {digit}</button></form>");
                html.Append("</li>");
            }

            html.Append($"</ol><form method=\"post\" action=\"/text\"><input type=\"hidden\" name=\"from\" value=\"{number}\"><label for=\"b{number}\">Write a text</label><textarea id=\"b{number}\" name=\"body\" rows=\"2\"></textarea><button>Send</button></form></section>");
        }

        return html.Append("</main></body></html>").ToString();
    }

    internal static string Spoken(string twiml) => string.Join(' ', System.Xml.Linq.XDocument.Parse(twiml).Descendants("Gather").SelectMany(g => g.Elements("Say")).Select(s => s.Value));

    private static string Safe(string text) => WebUtility.HtmlEncode(text);
}
