using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web.Features.Staff;
using Microsoft.Playwright;
using NodaTime;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

public sealed class On_call_clinician(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    [Fact]
    public async Task Woken_by_a_page_signs_in_takes_the_report_and_closes_it_with_an_outcome()
    {
        var phones = await demo.Window();
        await phones.GotoAsync(demo.Phone);
        var mira = phones.Locator("section", new() { HasText = Seed.PatientNumber });
        await mira.GetByLabel("Write a text").FillAsync("my skin has gone white where you injected and it hurts more and more");
        await mira.GetByRole(AriaRole.Button, new() { Name = "Send" }).ClickAsync();
        var page = phones.Locator("section", new() { HasText = Seed.FirstOnCall }).Locator("li", new() { HasText = "/Escalations/" });
        await Reload(phones, page);
        await Demo_in_a_browser.LooksRight(phones, "handsets");
        var link = (await page.InnerTextAsync()).Split(' ').Single(w => w.StartsWith(demo.Portal, StringComparison.Ordinal));

        var window = await demo.Window();
        await window.GotoAsync(link);
        await Demo_in_a_browser.LooksRight(window, "sign-in");
        await window.GetByLabel("Name").FillAsync("iris");
        await window.GetByLabel("Password").FillAsync(Seed.Password);
        await window.GetByRole(AriaRole.Button, new() { Name = "Continue" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(window, "enrolment");
        var key = (await window.GetByText("Key:").InnerTextAsync()).Replace("Key:", "").Replace(" ", "").Trim();
        await window.GetByLabel("Six digits from the authenticator").FillAsync(OneTimeCode.At(key, OneTimeCode.StepAt(SystemClock.Instance.GetCurrentInstant())));
        await window.GetByRole(AriaRole.Button, new() { Name = "Finish and sign in" }).ClickAsync();

        await Assertions.Expect(window.GetByText("Mira Sand")).ToBeVisibleAsync();      // the link she opened, not another page
        await Assertions.Expect(window.GetByText("DEMO-0417").First).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(window, "report");
        await window.GetByRole(AriaRole.Button, new() { Name = "Take it" }).ClickAsync();
        await window.GetByRole(AriaRole.Button, new() { Name = "Close with this outcome" }).ClickAsync();
        await Assertions.Expect(window.GetByRole(AriaRole.Alert)).ToContainTextAsync("Write what came of it");
        await Demo_in_a_browser.LooksRight(window, "outcome-missing");
        await window.GetByLabel("Outcome").FillAsync("Rang her; she is coming in now.");
        await window.GetByRole(AriaRole.Button, new() { Name = "Close with this outcome" }).ClickAsync();
        await Assertions.Expect(window.GetByText("No report is open")).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(window, "open-reports");

        await Reload(phones, mira.GetByText("A clinician has taken your report"));
    }

    private static async Task Reload(IPage page, ILocator awaited)
    {
        for (var i = 0; i < 60 && await awaited.CountAsync() == 0; i++)
        {
            await page.WaitForTimeoutAsync(250);
            await page.ReloadAsync();
        }

        await Assertions.Expect(awaited.First).ToBeVisibleAsync();
    }
}
