using System.Net;
using System.Text;
using Microsoft.AspNetCore.Http.Features;

namespace AftercarePortal.Web.Access;

/// <summary>True for a browser somebody of staff has signed in with: it shows a cookie this portal gave it, ended or not.</summary>
internal delegate bool BrowserOfStaff(HttpContext http);

/// <summary>Words for patients by key, in every language they stand in, the clinic's own first.</summary>
internal delegate IReadOnlyList<(string Language, string Words)> WordsForPatients(string key);

/// <summary>The answer to a form that cannot be taken now: the form itself, to be sent again. Nothing typed is lost, nothing is stored.</summary>
/// <remarks>It repeats only what the sender sent, escaped. Sent again, it needs a session and its own form key like any other.</remarks>
internal static class KeptForm
{
    /// <summary>Field of a form on a patient's screen that says in which language it was read.</summary>
    public const string ReadIn = "ReadIn";

    /// <summary>Bytes of a form that is written into a page; it grows up to twelvefold there.</summary>
    public const long Most = 256 * 1024;

    private const string NewWindow = "target=\"_blank\" rel=\"noopener\"";

    /// <summary>Why it cannot be taken, and how it can be.</summary>
    /// <param name="Title">Of the page.</param>
    /// <param name="Door">Where somebody goes whose form cannot be shown again.</param>
    /// <param name="Before">What stands above the form, as HTML.</param>
    /// <param name="Button">What sends it again, as HTML.</param>
    /// <param name="Language">Of the page.</param>
    internal sealed record Why(int Status, string Title, string Door, string Before, string Button, string Language = "en");

    /// <summary>The session had ended.</summary>
    public static Why Ended { get; } = ForStaff(StatusCodes.Status401Unauthorized, "Session ended", "Your session ended before this was kept", "/Staff/SignIn",
        $"""<a href="/Staff/SignIn" {NewWindow}>Sign in again in a new window</a>, as the same person.""");

    /// <summary>The screen of this session is in a patient's hands.</summary>
    public static Why WithAPatient { get; } = ForStaff(StatusCodes.Status423Locked, "Screen with a patient", "Not kept: this session's screen is with a patient", AccessGate.LockPage,
        $"""<a href="{AccessGate.LockPage}" {NewWindow}>Unlock it in a new window</a>, once the patient has given the screen back.""");

    /// <summary>The session had ended while a patient was reading: said to the patient in each language, theirs first, then to the staff.</summary>
    /// <param name="screen">Path of the patient's page; whoever signs in is led back to handing it over.</param>
    /// <param name="readIn">The language it was read in; one that is not known counts as the clinic's own.</param>
    public static Why EndedWithAPatient(string screen, string? readIn, WordsForPatients words)
    {
        List<string> Said(string key) => [.. words(key).OrderByDescending(w => w.Language == readIn).Select(w => $"<span lang=\"{w.Language}\">{Html(w.Words)}</span>")];
        string AsParagraphs(string key) => string.Concat(Said(key).Select(w => $"<p>{w}</p>"));
        var door = $"/Staff/SignIn{QueryString.Create("then", $"/Staff/Lend{QueryString.Create("Screen", screen)}")}";
        var language = words("ended-title").Any(w => w.Language == readIn) ? readIn! : words("ended-title")[0].Language;
        return new(StatusCodes.Status401Unauthorized, words("ended-title").First(w => w.Language == language).Words, door,
            $"""
            <h1>{string.Join("<br>", Said("ended-title"))}</h1><div class="caution" role="status">{AsParagraphs("ended-give-back")}</div>
            <section lang="en"><h2>For staff</h2><ol><li><a href="{Html(door)}" {NewWindow}>Sign in again in a new window</a>, as the same person; it leads back to this screen. Hand it over there, then close that window.</li>
            <li>Come back to this page and give it to the patient, who sends it again.</li></ol></section>{AsParagraphs("ended-send")}
            """, string.Join(" / ", Said("ended-button")), language);
    }

    /// <summary>Answers with the form as it was sent. Passwords, files and what is very long are never written into a page: then it leads to the door.</summary>
    /// <param name="whyOf">Why, by the language it was read in, where the form says one.</param>
    public static async Task Answer(HttpContext context, Func<string?, Why> whyOf)
    {
        var form = await Read(context);
        var why = whyOf(form?[ReadIn]);
        if (form is null || context.Request.Path.StartsWithSegments("/Staff") || form.Files.Count > 0)
        {
            context.Response.Redirect(why.Door);
            return;
        }

        var page = new StringBuilder(
            $"""
            <!DOCTYPE html><html lang="{why.Language}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>{Html(why.Title)}</title><link rel="stylesheet" href="/assets/site.css"></head>
            <body><main id="main">{why.Before}<form method="post">
            """);
        foreach (var (name, values) in form)
            foreach (var value in values)
                page.Append($"<input type=\"hidden\" name=\"{Html(name)}\" value=\"{Html(value ?? "")}\">");
        page.Append($"<p><button>{why.Button}</button></p></form></main></body></html>");
        context.Response.StatusCode = why.Status;
        context.Response.ContentType = "text/html; charset=utf-8";
        await context.Response.WriteAsync(page.ToString(), context.RequestAborted);
    }

    // Null: longer than a page may hold, or no form; nothing of such a one is read further.
    private static async Task<IFormCollection?> Read(HttpContext context)
    {
        if (context.Request.ContentLength > Most) return null;
        if (context.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } body) body.MaxRequestBodySize = Most;
        try
        {
            return await context.Request.ReadFormAsync(context.RequestAborted);
        }
        catch (Exception fault) when (fault is BadHttpRequestException or InvalidDataException)
        {
            return null;
        }
    }

    private static Why ForStaff(int status, string title, string says, string door, string step) => new(status, title, door,
        $"<h1>{says}</h1><p>Nothing you typed is lost as long as this page stays open.</p><ol><li>{step}</li><li>Come back to this page and send it again.</li></ol>", "Send it again");

    private static string Html(string words) => WebUtility.HtmlEncode(words);
}
