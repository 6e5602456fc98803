using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;

namespace AftercarePortal.Web.Tests.Intake;

/// <summary>One person's intake in a browser without cookies or script: opens pages, sends forms, reads what comes back.</summary>
internal sealed partial class Intake_of(Portal_with_staff portal, Guid clinic)
{
    private readonly HttpClient browser = new(new SocketsHttpHandler { AllowAutoRedirect = false, UseCookies = false }) { BaseAddress = portal.Browser().BaseAddress, DefaultRequestHeaders = { { "Accept", "text/html" } } };

    /// <summary>The private link, without host.</summary>
    public string Link { get; private set; } = "";

    /// <summary>Address of the page the browser was sent to last.</summary>
    public string At { get; private set; } = "";

    public async Task Start(string language = "en")
    {
        var slug = await InClinic(db => db.Clinics.Where(c => c.Id == clinic).Select(c => c.Slug).SingleAsync());
        await Post($"/Intake/at/{slug}", ("lang", language));
        Link = At[..At.LastIndexOf('/')];
    }

    public async Task<string> Show(string? at = null)
    {
        var answer = await browser.GetAsync(new Uri(at ?? At, UriKind.Relative));
        while (answer.StatusCode is HttpStatusCode.Redirect)
        {
            At = answer.Headers.Location!.OriginalString;
            answer = await browser.GetAsync(new Uri(At, UriKind.Relative));
        }

        Status = answer.StatusCode;
        return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
    }

    public HttpStatusCode Status { get; private set; }

    /// <summary>Sends a form and follows where it leads; the page that came back, entities decoded.</summary>
    public async Task<string> Post(string at, params (string Name, string Value)[] typed)
    {
        using var form = new FormUrlEncodedContent(typed.Select(t => KeyValuePair.Create(t.Name, t.Value)));
        var answer = await browser.PostAsync(new Uri(at, UriKind.Relative), form);
        Status = answer.StatusCode;
        if (answer.StatusCode is not HttpStatusCode.Redirect) return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
        At = answer.Headers.Location!.OriginalString;
        return "";
    }

    /// <summary>Sends photos, and empty file fields as a browser does.</summary>
    public async Task<string> Upload(params (string Name, byte[] File)[] files)
    {
        using var form = new MultipartFormDataContent();
        foreach (var name in new[] { "front", "left", "right" })
            form.Add(new ByteArrayContent(files.FirstOrDefault(f => f.Name == name).File ?? []), name, files.Any(f => f.Name == name) ? $"{name}.jpg" : "\"\"");
        var answer = await browser.PostAsync(new Uri($"{Link}/photos", UriKind.Relative), form);
        Status = answer.StatusCode;
        if (answer.StatusCode is not HttpStatusCode.Redirect) return WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
        At = answer.Headers.Location!.OriginalString;
        return "";
    }

    /// <summary>Answers the question the browser is at.</summary>
    public Task<string> Answer(params (string Name, string Value)[] typed) => Post(At, [.. typed, ("act", "answer")]);

    public Task<string> Skip(params (string Name, string Value)[] typed) => Post(At, [.. typed, ("act", "skip")]);

    public Task<string> Born(int year) => Answer(("day", "28"), ("month", "2"), ("year", $"{year}"));

    /// <summary>Goes through all that is left: "none" or "no" where that is offered, else skipped; the words given where words are asked.</summary>
    public async Task Rest(string words = "")
    {
        for (var i = 0; i < 60 && !At.EndsWith("/check", StringComparison.Ordinal); i++)
        {
            var page = await Show();
            var calm = new[] { "none", "no", "female" }.FirstOrDefault(code => page.Contains($"name=\"choice\" value=\"{code}\"", StringComparison.Ordinal));
            if (calm is not null) await Answer(("choice", calm));
            else if (words.Length > 0 && page.Contains("<textarea", StringComparison.Ordinal)) await Answer(("text", words));
            else await Skip();
        }
    }

    /// <summary>A whole intake up to its result; returns the page.</summary>
    public async Task<string> Result(string words = "")
    {
        await Start();
        await Born(1988);
        await Rest(words);
        await Post(At);
        return await Show();
    }

    public Task<string> Send(string name = "Jonas Lind", string number = "(212) 555-0177", bool mayText = true) =>
        Post($"{Link}/result", [("Name", name), ("Number", number), .. mayText ? [("MayText", "true")] : Array.Empty<(string, string)>()]);

    /// <summary>The question's words on a page.</summary>
    public static string QuestionOn(string page) => Heading().Match(page).Groups[1].Value;

    public async Task<T> InClinic<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    public Task RunDueJobs() => portal.Parts.GetRequiredService<JobRunner>().RunDue();

    [GeneratedRegex("<h1>(?:<label[^>]*>)?([^<]+)")]
    private static partial Regex Heading();
}
