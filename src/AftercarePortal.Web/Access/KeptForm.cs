using System.Net;
using System.Text;

namespace AftercarePortal.Web.Access;

/// <summary>The answer to a form that cannot be taken now: the form itself, to be sent again. Nothing typed is lost, nothing is stored.</summary>
/// <remarks>It repeats only what the sender sent, escaped. Sent again, it needs a session and its own form key like any other.</remarks>
internal static class KeptForm
{
    private const int MostFields = 2000;

    /// <summary>Why it cannot be taken, and how it can be.</summary>
    /// <param name="Steps">In order, as HTML.</param>
    internal sealed record Why(int Status, string Title, string Says, string Door, IReadOnlyList<string> Steps);

    /// <summary>The session had ended.</summary>
    public static Why Ended { get; } = new(StatusCodes.Status401Unauthorized, "Session ended", "Your session ended before this was kept", "/Staff/SignIn",
        ["""<a href="/Staff/SignIn" target="_blank" rel="noopener">Sign in again in a new window</a>, as the same person.""", "Come back to this page and send it again."]);

    /// <summary>The screen of this session is in a patient's hands.</summary>
    public static Why WithAPatient { get; } = new(StatusCodes.Status423Locked, "Screen with a patient", "Not kept: this session's screen is with a patient", AccessGate.LockPage,
        [$"""<a href="{AccessGate.LockPage}" target="_blank" rel="noopener">Unlock it in a new window</a>, once the patient has given the screen back.""", "Come back to this page and send it again."]);

    public static async Task Answer(HttpContext context, Why why)
    {
        var form = await context.Request.ReadFormAsync(context.RequestAborted);
        // Passwords and codes are never written into a page.
        if (context.Request.Path.StartsWithSegments("/Staff") || form.Count > MostFields || form.Files.Count > 0)
        {
            context.Response.Redirect(why.Door);
            return;
        }

        var page = new StringBuilder(
            $"""
            <!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>{why.Title}</title><link rel="stylesheet" href="/assets/site.css"></head>
            <body><main id="main"><h1>{why.Says}</h1><p>Nothing you typed is lost as long as this page stays open.</p>
            <ol>{string.Concat(why.Steps.Select(step => $"<li>{step}</li>"))}</ol><form method="post">
            """);
        foreach (var (name, values) in form)
            foreach (var value in values)
                page.Append($"<input type=\"hidden\" name=\"{WebUtility.HtmlEncode(name)}\" value=\"{WebUtility.HtmlEncode(value)}\">");
        page.Append("<p><button>Send it again</button></p></form></main></body></html>");
        context.Response.StatusCode = why.Status;
        context.Response.ContentType = "text/html; charset=utf-8";
        await context.Response.WriteAsync(page.ToString(), context.RequestAborted);
    }
}
