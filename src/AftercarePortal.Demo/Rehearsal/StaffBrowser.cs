using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Features.Staff;
using NodaTime;

namespace AftercarePortal.Demo.Rehearsal;

/// <summary>A member of staff at the portal's own pages, over HTTP: signs in with password and authenticator, then fills in forms.</summary>
internal sealed partial class StaffBrowser(string portal) : IDisposable
{
    private readonly HttpClient _http = new(new SocketsHttpHandler { AllowAutoRedirect = false }) { BaseAddress = new(portal) };

    /// <summary>Signs in for the first time. False: the portal let nobody in.</summary>
    public async Task<bool> SignIn(string userName, string password)
    {
        if (await Send("/Staff/SignIn", "/Staff/SignIn", ("UserName", userName), ("Password", password)) is not HttpStatusCode.Redirect) return false;
        // Each time the page is opened it shows another key: the code is of the one on the page that is sent.
        return await Send("/Staff/Enrol", "/Staff/Enrol", page => Key().Match(page).Groups[1].Value.Replace(" ", "") is { Length: > 0 } key
            ? [("Code", OneTimeCode.At(key, OneTimeCode.StepAt(SystemClock.Instance.GetCurrentInstant())))] : []) is HttpStatusCode.Redirect;
    }

    /// <summary>Opens a page; the answer's status, a redirect to the sign-in included.</summary>
    public async Task<HttpStatusCode> Open(string page)
    {
        using var answer = await _http.GetAsync(page);
        return answer.StatusCode;
    }

    /// <summary>Opens a page and sends one of its forms; the answer's status.</summary>
    public Task<HttpStatusCode> Send(string page, string action, params (string Name, string Value)[] typed) => Send(page, action, _ => typed);

    private async Task<HttpStatusCode> Send(string page, string action, Func<string, (string Name, string Value)[]> typedOn)
    {
        using var opened = await _http.GetAsync(page);
        if (!opened.IsSuccessStatusCode) return opened.StatusCode;
        // As a browser does: the hidden fields of the form that goes to this address, then what was typed.
        var html = await opened.Content.ReadAsStringAsync();
        var (forms, typed) = (Form().Matches(html), typedOn(html));
        var sent = forms.FirstOrDefault(f => f.Groups[1].Value.Contains($"action=\"{WebUtility.HtmlEncode(action)}\"", StringComparison.Ordinal)) ?? forms.FirstOrDefault();
        var hidden = Hidden().Matches(sent?.Groups[2].Value ?? "").Select(m => KeyValuePair.Create(m.Groups[1].Value, WebUtility.HtmlDecode(m.Groups[2].Value)));
        using var form = new FormUrlEncodedContent([.. hidden, .. typed.Select(t => KeyValuePair.Create(t.Name, t.Value))]);
        using var answer = await _http.PostAsync(action, form);
        return answer.StatusCode;
    }

    public void Dispose() => _http.Dispose();

    [GeneratedRegex("<form([^>]*)>(.*?)</form>", RegexOptions.Singleline)]
    private static partial Regex Form();

    [GeneratedRegex("<input (?=[^>]*type=\"hidden\")[^>]*?name=\"([^\"]+)\"[^>]*?value=\"([^\"]*)\"")]
    private static partial Regex Hidden();

    [GeneratedRegex("<strong id=\"key\">([A-Z2-7 ]+)</strong>")]
    private static partial Regex Key();
}
