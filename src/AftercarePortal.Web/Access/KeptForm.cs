using System.Net;
using System.Text;

namespace AftercarePortal.Web.Access;

/// <summary>The answer to a form that was sent after the session had ended: the form itself, to be sent again. Nothing typed is lost, nothing is stored.</summary>
/// <remarks>It repeats only what the sender sent, escaped. Sent again, it needs a session and its own form key like any other.</remarks>
internal static class KeptForm
{
    private const int MostFields = 2000;

    public static async Task Answer(HttpContext context)
    {
        var form = await context.Request.ReadFormAsync(context.RequestAborted);
        // Passwords and codes are never written into a page.
        if (context.Request.Path.StartsWithSegments("/Staff") || form.Count > MostFields || form.Files.Count > 0)
        {
            context.Response.Redirect("/Staff/SignIn");
            return;
        }

        var page = new StringBuilder(
            """
            <!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>Session ended</title><link rel="stylesheet" href="/assets/site.css"></head>
            <body><main id="main"><h1>Your session ended before this was kept</h1><p>Nothing you typed is lost as long as this page stays open.</p>
            <ol><li><a href="/Staff/SignIn" target="_blank" rel="noopener">Sign in again in a new window</a>, as the same person.</li><li>Come back to this page and send it again.</li></ol><form method="post">
            """);
        foreach (var (name, values) in form)
            foreach (var value in values)
                page.Append($"<input type=\"hidden\" name=\"{WebUtility.HtmlEncode(name)}\" value=\"{WebUtility.HtmlEncode(value)}\">");
        page.Append("<p><button>Send it again</button></p></form></main></body></html>");
        context.Response.StatusCode = StatusCodes.Status401Unauthorized;
        context.Response.ContentType = "text/html; charset=utf-8";
        await context.Response.WriteAsync(page.ToString(), context.RequestAborted);
    }
}
