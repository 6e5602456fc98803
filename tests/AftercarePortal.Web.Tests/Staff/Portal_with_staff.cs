using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Identity;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Staff;

/// <summary>A portal on a free port with an empty SQLite file, a clock that stands still, and helpers to fill in its forms.</summary>
internal sealed partial class Portal_with_staff : IAsyncDisposable
{
    public const string Password = "a long enough phrase";
    private readonly WebApplication app;
    private readonly DirectoryInfo folder;
    private readonly Dictionary<string, string> keys = [];
    private readonly Dictionary<HttpClient, CookieContainer> jars = [];

    private Portal_with_staff(WebApplication app, DirectoryInfo folder, FakeTimeProvider clock, Kept_log log) => (this.app, this.folder, Clock, Log) = (app, folder, clock, log);

    public FakeTimeProvider Clock { get; }
    /// <summary>Every line the portal logged, with what was thrown.</summary>
    public Kept_log Log { get; }
    public IServiceProvider Parts => app.Services;

    public static Task<Portal_with_staff> Open(params string[] more) => OpenWith(null, more);

    /// <param name="content">The content to use, asked for anew each time; null: the portal's own.</param>
    /// <param name="more">More settings.</param>
    public static async Task<Portal_with_staff> OpenWith(Func<ContentLibrary>? content, params string[] more)
    {
        var folder = Directory.CreateTempSubdirectory("aftercare-staff-");
        var log = new Kept_log();
        var clock = new FakeTimeProvider(new DateTimeOffset(2031, 5, 14, 9, 0, 0, TimeSpan.Zero));
        var app = Portal.Build(
            ["--Jobs:Run=false", "--Staff:MostTries=10000", "--urls", "http://127.0.0.1:0", $"--Database:Connection=Data Source={Path.Combine(folder.FullName, "portal.db")}", $"--Keys:Folder={Path.Combine(folder.FullName, "keys")}", .. more],
            b =>
            {
                b.Services.AddSingleton<TimeProvider>(clock);
                b.Logging.AddProvider(log);
                if (content is null) b.Services.AddSingleton(Shared_content.Library);
                else b.Services.AddTransient(_ => content());
            });
        await using (var scope = app.Services.CreateAsyncScope())
            await scope.ServiceProvider.GetRequiredService<PortalDb>().Database.EnsureCreatedAsync();
        await app.StartAsync();
        return new(app, folder, clock, log);
    }

    /// <summary>A clinic with one patient. Returns both ids.</summary>
    public async Task<(Guid Clinic, Guid Patient)> Clinic(string name, int line)
    {
        await using var scope = app.Services.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var clinic = new ClinicRow
        {
            Name = name, PriceList = "wrenfold-prices.v1", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = $"+1212555010{line}",
            PatientNumber = $"+1212555011{line}", PageNumber = $"+1212555012{line}", QuietFrom = new(21, 0), QuietTo = new(8, 0),
        };
        var patient = new PatientRow { ClinicId = clinic.Id, Name = $"Patient of {name}", Number = "+12125550150" };
        db.AddRange(clinic, patient);
        await db.SaveChangesAsync();
        return (clinic.Id, patient.Id);
    }

    /// <summary>A member of staff with a password, not enrolled.</summary>
    public async Task Hire(Guid clinic, string userName, StaffRole role = StaffRole.Clinician)
    {
        await using var scope = app.Services.CreateAsyncScope();
        var hired = await scope.ServiceProvider.GetRequiredService<UserManager<StaffRow>>().CreateAsync(
            new StaffRow { UserName = userName, ClinicId = clinic, FullName = $"Dr {userName}", PageNumber = "+12125550160", Role = role }, Password);
        if (!hired.Succeeded) throw new InvalidOperationException(string.Join("; ", hired.Errors.Select(e => e.Description)));
    }

    /// <summary>A browser with its own cookies; it follows no redirect.</summary>
    public HttpClient Browser()
    {
        var jar = new CookieContainer();
        var browser = new HttpClient(new SocketsHttpHandler { AllowAutoRedirect = false, CookieContainer = jar }) { BaseAddress = new Uri(app.Urls.First()) };
        jars[browser] = jar;
        return browser;
    }

    /// <summary>Another browser with a copy of all the cookies one has now.</summary>
    public HttpClient CopyOf(HttpClient browser)
    {
        var copy = Browser();
        jars[copy].Add(jars[browser].GetAllCookies());
        return copy;
    }

    /// <summary>A browser of somebody hired now, through password and enrolment.</summary>
    public async Task<HttpClient> SignedIn(Guid clinic, string userName, StaffRole role = StaffRole.Clinician)
    {
        await Hire(clinic, userName, role);
        var browser = Browser();
        await EnterPassword(browser, userName);
        (keys[userName], var done) = await Enrol(browser);
        if (done.StatusCode is not HttpStatusCode.Redirect) throw new InvalidOperationException("Signing in did not work.");
        return browser;
    }

    /// <summary>Puts the key that the enrolling page shows into an authenticator and proves it with a code of now.</summary>
    public async Task<(string Key, HttpResponseMessage Answer)> Enrol(HttpClient browser, params (string Name, string Value)[] more)
    {
        var page = await browser.GetStringAsync("/Staff/Enrol");
        var key = KeyOn(page);
        return (key, await Post(browser, "/Staff/Enrol", page, [("Code", CodeNow(key)), .. more]));
    }

    /// <summary>Password and a fresh code, shown again by somebody who signed in through <see cref="SignedIn"/>.</summary>
    public (string, string)[] ShownAgain(string userName)
    {
        Clock.Advance(TimeSpan.FromSeconds(30));
        return [("OwnPassword", Password), ("OwnCode", CodeNow(keys[userName]))];
    }

    /// <summary>What whoever leads the practice does with an account, password and code shown again.</summary>
    /// <param name="act">LetGo, LetInAgain or StartAnew.</param>
    public async Task<HttpResponseMessage> ChangeAccount(HttpClient lead, string leadName, string id, string act) =>
        await Post(lead, $"/Staff/Change/{id}?handler={act}", await lead.GetStringAsync("/Staff/SignOut"), ShownAgain(leadName));

    /// <summary>Authenticator key of somebody who signed in through <see cref="SignedIn"/>.</summary>
    public string KeyOf(string userName) => keys[userName];

    /// <summary>Hands a page of this browser's session to a patient.</summary>
    public static async Task HandOver(HttpClient browser, string screen)
    {
        var handed = await Send(browser, $"/Staff/Lend?Screen={Uri.EscapeDataString(screen)}");
        if (handed.Headers.Location?.OriginalString != screen) throw new InvalidOperationException($"The screen was not handed over: {handed.StatusCode}.");
    }

    /// <summary>Takes the screen back with password and a fresh code.</summary>
    public async Task<HttpResponseMessage> TakeBack(HttpClient browser, string userName)
    {
        Clock.Advance(TimeSpan.FromSeconds(30));
        return await Send(browser, "/Staff/Unlock", ("Password", Password), ("Code", CodeNow(keys[userName])));
    }

    /// <summary>A patient fills in a page on the clinic's screen; then it is taken back.</summary>
    public async Task<HttpResponseMessage> FilledByPatient(HttpClient browser, string userName, string screen, params (string Name, string Value)[] typed)
    {
        await HandOver(browser, screen);
        var answer = await Send(browser, screen, typed);
        await TakeBack(browser, userName);
        return answer;
    }

    public Task<HttpResponseMessage> EnterPassword(HttpClient browser, string userName, string password = Password) =>
        Send(browser, "/Staff/SignIn", ("UserName", userName), ("Password", password));

    public string CodeNow(string key) => OneTimeCode.At(key, OneTimeCode.StepAt(Clock.GetCurrentInstant()));

    public static string KeyOn(string page) => KeyText().Match(page).Groups[1].Value.Replace(" ", "");

    /// <summary>Opens a page and sends its form: hidden fields as they are, the given ones as typed.</summary>
    public static async Task<HttpResponseMessage> Send(HttpClient browser, string page, params (string Name, string Value)[] typed)
    {
        var html = await browser.GetStringAsync(page);
        return await Post(browser, page, html, typed);
    }

    /// <summary>Where a button sends what was typed, as a browser reads it: its own address, else its form's.</summary>
    public static string AddressOf(string button, string html)
    {
        var pressed = Regex.Match(html, $"<button([^>]*)>{Regex.Escape(button)}</button>");
        Assert.True(pressed.Success, $"There is no button {button}.");
        var own = Regex.Match(pressed.Groups[1].Value, "formaction=\"([^\"]*)\"");
        var form = html[html.LastIndexOf("<form", pressed.Index, StringComparison.Ordinal)..];
        return WebUtility.HtmlDecode(own.Success ? own.Groups[1].Value : Regex.Match(form[..form.IndexOf('>', StringComparison.Ordinal)], "action=\"([^\"]*)\"").Groups[1].Value);
    }

    /// <summary>Sends a form of a page opened before.</summary>
    public static Task<HttpResponseMessage> Post(HttpClient browser, string page, string html, params (string Name, string Value)[] typed) =>
        browser.PostAsync(page, new FormUrlEncodedContent(
        [
            // A page with several forms holds a token in each; a browser sends one.
            .. Hidden().Matches(html).Where((m, i) => m.Groups[1].Value != "__RequestVerificationToken" || i == Hidden().Matches(html).ToList().FindIndex(f => f.Groups[1].Value == "__RequestVerificationToken")).Select(m => KeyValuePair.Create(m.Groups[1].Value, WebUtility.HtmlDecode(m.Groups[2].Value))),
            .. typed.Select(t => KeyValuePair.Create(t.Name, t.Value)),
        ]));

    public async ValueTask DisposeAsync()
    {
        await app.DisposeAsync();
        SqliteConnection.ClearAllPools();
        folder.Delete(recursive: true);
    }

    [GeneratedRegex("<input (?=[^>]*type=\"hidden\")[^>]*?name=\"([^\"]+)\"[^>]*?value=\"([^\"]*)\"")]
    private static partial Regex Hidden();

    [GeneratedRegex("<strong id=\"key\">([A-Z2-7 ]+)</strong>")]
    private static partial Regex KeyText();
}
