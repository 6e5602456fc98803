using AftercarePortal.Testing;
using System.Net;
using System.Net.Sockets;
using AftercarePortal.Demo;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web.Features.Staff;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using NodaTime;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

/// <summary>The demo clinic and Debian's Chromium with a phone's viewport. Screenshots go to <c>AFTERCARE_SCREENSHOTS</c> when that is set.</summary>
public class Demo_in_a_browser : IAsyncLifetime
{
    private readonly Dictionary<string, (string Key, long LastStep)> _authenticators = [];
    private readonly string _folder = Directory.CreateTempSubdirectory("aftercare-demo-").FullName;
    private WrenfoldDemo? _demo;
    private static readonly System.Runtime.CompilerServices.ConditionalWeakTable<IBrowserContext, object> WithoutScript = [];
    private IPlaywright? _playwright;
    private IBrowser? _browser;

    public string Portal { get; } = $"http://127.0.0.1:{FreePort.Take()}";

    public string Phone { get; } = $"http://127.0.0.1:{FreePort.Take()}";

    /// <summary>Whether the clinic has a year of invented cases behind it.</summary>
    protected virtual bool WithPast => false;

    public async Task InitializeAsync()
    {
        _demo = await WrenfoldDemo.Start(Portal, Phone, _folder, withPast: WithPast);
        _playwright = await Playwright.CreateAsync();
        _browser = await _playwright.Chromium.LaunchAsync(new()
        {
            ExecutablePath = "/usr/bin/chromium",
            Args = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
        });
    }

    public async Task DisposeAsync()
    {
        if (_browser is not null) await _browser.DisposeAsync();
        _playwright?.Dispose();
        if (_demo is not null) await _demo.DisposeAsync();
        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        Directory.Delete(_folder, recursive: true);
    }

    /// <summary>A new browser window of a phone's size, 390 × 844.</summary>
    public async Task<IPage> Window() => await (await _browser!.NewContextAsync(new() { ViewportSize = new() { Width = 390, Height = 844 } })).NewPageAsync();

    /// <summary>The same with script switched off, in the language asked for.</summary>
    public async Task<IPage> WindowWithoutScript()
    {
        var context = await _browser!.NewContextAsync(new() { ViewportSize = new() { Width = 390, Height = 844 }, JavaScriptEnabled = false });
        WithoutScript.Add(context, true);
        return await context.NewPageAsync();
    }

    // The examination is itself a script: it looks at the same page in a window that allows one.
    private static async Task<IPage> Twin(IPage page)
    {
        var twin = await page.Context.Browser!.NewPageAsync(new() { ViewportSize = new() { Width = 390, Height = 844 } });
        await twin.GotoAsync(page.Url);
        await twin.SetContentAsync(await page.ContentAsync());
        return twin;
    }

    /// <summary>A new window in which a member of staff went through password and enrolment; each can enrol once a demo.</summary>
    public async Task<IPage> SignedIn(string name)
    {
        var window = await Window();
        await window.GotoAsync($"{Portal}/Staff/SignIn");
        await window.GetByLabel("Name").FillAsync(name);
        await window.GetByLabel("Password").FillAsync(Seed.Password);
        await window.GetByRole(AriaRole.Button, new() { Name = "Continue" }).ClickAsync();
        var key = (await window.GetByText("Key:").InnerTextAsync()).Replace("Key:", "").Replace(" ", "").Trim();
        _authenticators[name] = (key, OneTimeCode.StepAt(SystemClock.Instance.GetCurrentInstant()));
        await window.GetByLabel("Six digits from the authenticator").FillAsync(OneTimeCode.At(key, _authenticators[name].LastStep));
        await window.GetByRole(AriaRole.Button, new() { Name = "Finish and sign in" }).ClickAsync();
        return window;
    }

    /// <summary>Into a room by the menu, as on a phone: unfolded first.</summary>
    public static async Task GoTo(IPage desk, string room)
    {
        await desk.GetByText("All rooms").ClickAsync();
        await desk.GetByRole(AriaRole.Navigation).GetByRole(AriaRole.Link, new() { Name = room, Exact = true }).ClickAsync();
    }

    /// <summary>Hands a page of this window's session to a patient.</summary>
    public async Task HandOver(IPage desk, string screen)
    {
        await desk.GotoAsync(Portal + screen);
        await desk.GetByRole(AriaRole.Button, new() { Name = "Hand over the screen" }).ClickAsync();
        await Assertions.Expect(desk).ToHaveURLAsync(Portal + screen);
    }

    /// <summary>Fills in one's own password and a new code where a page asks for them once more.</summary>
    public async Task ShowsAgain(IPage desk, string name)
    {
        await desk.GetByLabel("Your own password").FillAsync(Seed.Password);
        await desk.GetByLabel("Six digits from your authenticator").FillAsync(await NextCode(name));
    }

    /// <summary>Takes the screen back with password and code, from wherever the window is. A clock may run half a minute ahead: so may the code.</summary>
    public async Task TakeBack(IPage desk, string name)
    {
        await desk.GotoAsync($"{Portal}/Staff/Unlock");
        await desk.GetByLabel("Password").FillAsync(Seed.Password);
        await desk.GetByLabel("Six digits from your authenticator").FillAsync(await NextCode(name));
        await desk.GetByRole(AriaRole.Button, new() { Name = "Unlock" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Navigation).First).ToBeVisibleAsync();
    }

    // One that was not used yet.
    private async Task<string> NextCode(string name)
    {
        var (key, last) = _authenticators[name];
        while (OneTimeCode.StepAt(SystemClock.Instance.GetCurrentInstant()) < last) await Task.Delay(500);
        var step = Math.Max(last + 1, OneTimeCode.StepAt(SystemClock.Instance.GetCurrentInstant()));
        _authenticators[name] = (key, step);
        return OneTimeCode.At(key, step);
    }

    /// <summary>Nothing wrong by axe, nothing wider than the phone, and a picture of the page.</summary>
    public static async Task LooksRight(IPage page, string name)
    {
        if (Environment.GetEnvironmentVariable("AFTERCARE_SCREENSHOTS") is { Length: > 0 } folder)
            await page.ScreenshotAsync(new() { Path = Path.Combine(folder, name + ".png"), FullPage = true });
        if (WithoutScript.TryGetValue(page.Context, out _)) page = await Twin(page);
        var found = await page.RunAxe();
        Assert.True(found.Violations.Length == 0, $"{name}: {string.Join("; ", found.Violations.Select(v => v.Id + " at " + string.Join(", ", v.Nodes.Select(n => n.Target))))}");
        Assert.True(await page.EvaluateAsync<bool>("document.documentElement.scrollWidth <= window.innerWidth"), $"{name} is wider than a phone.");
    }

    /// <summary>Nothing wider than the window, and a picture of the page.</summary>
    public static async Task Fits(IPage page, string name)
    {
        if (Environment.GetEnvironmentVariable("AFTERCARE_SCREENSHOTS") is { Length: > 0 } folder)
            await page.ScreenshotAsync(new() { Path = Path.Combine(folder, name + ".png"), FullPage = true });
        Assert.True(await page.EvaluateAsync<bool>("document.documentElement.scrollWidth <= window.innerWidth"), $"{name} is wider than its window.");
    }

    /// <summary>One screen as a phone shows it, for the tour in README; only when <c>AFTERCARE_TOUR</c> names a folder.</summary>
    public static async Task Tour(IPage page, string name, ILocator? from = null)
    {
        if (Environment.GetEnvironmentVariable("AFTERCARE_TOUR") is not { Length: > 0 } folder) return;
        if (from is null) await page.EvaluateAsync("scrollTo(0, 0)");
        else await from.EvaluateAsync("element => element.scrollIntoView()");
        await page.ScreenshotAsync(new() { Path = Path.Combine(folder, name + ".png") });
    }
}
