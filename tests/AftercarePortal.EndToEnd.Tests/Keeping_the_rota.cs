using AftercarePortal.Demo.Wrenfold;
using Microsoft.Playwright;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

public sealed class Keeping_the_rota(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    [Fact]
    public async Task Sends_a_test_page_sees_it_taken_reads_the_chain_of_a_report_and_hands_over()
    {
        var lead = await demo.SignedIn("tomas");
        await lead.GotoAsync($"{demo.Portal}/Rota");
        await lead.GetByRole(AriaRole.Button, new() { Name = "Send a test page now: Iris Hale" }).ClickAsync();
        var phones = await demo.Window();
        await phones.GotoAsync(demo.Phone);
        var iris = phones.Locator("section", new() { HasText = Seed.FirstOnCall });
        await Reload(phones, iris.Locator("li", new() { HasText = "TEST page" }));
        await iris.GetByLabel("Write a text").FillAsync("TAKE");
        await iris.GetByRole(AriaRole.Button, new() { Name = "Send" }).ClickAsync();
        await Reload(phones, iris.Locator("li", new() { HasText = "Test page taken" }));
        await lead.GotoAsync($"{demo.Portal}/Rota");
        await Assertions.Expect(lead.GetByText("Text proven").First).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(lead, "rota");

        var mira = phones.Locator("section", new() { HasText = Seed.PatientNumber });
        await mira.GetByLabel("Write a text").FillAsync("my skin has gone white where you injected and it hurts more and more");
        await mira.GetByRole(AriaRole.Button, new() { Name = "Send" }).ClickAsync();
        await Reload(phones, iris.Locator("li", new() { HasText = "/Escalations/" }));
        await lead.GotoAsync($"{demo.Portal}/Escalations");
        await lead.GetByRole(AriaRole.Link, new() { Name = "Ref" }).First.ClickAsync();
        await Reload(lead, lead.Locator(".chain li", new() { HasText = "Text to the patient" }).Filter(new() { HasText = "arrived" }));
        await Assertions.Expect(lead.GetByText("text to Iris Hale: arrived")).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(lead, "report-chain");

        await lead.GotoAsync($"{demo.Portal}/Escalations/HandOver");
        await lead.GetByLabel("What the next one has to know").FillAsync("She is rung at eight. Photos are on the report.");
        await lead.GetByRole(AriaRole.Button, new() { Name = "Hand over the shift" }).ClickAsync();
        await Assertions.Expect(lead.GetByText("Not read by anybody yet.")).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(lead, "hand-over");

        await lead.GotoAsync($"{demo.Portal}/Rota/Calendars");
        await lead.GetByRole(AriaRole.Button, new() { Name = "A link to my shifts" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(lead, "calendars");

        await lead.GotoAsync($"{demo.Portal}/Rota/Import");
        var begins = DateTime.UtcNow.AddDays(400).ToString("yyyyMMdd", System.Globalization.CultureInfo.InvariantCulture);
        await lead.GetByLabel("Calendar file (.ics)").SetInputFilesAsync(new FilePayload
        {
            Name = "rota.ics", MimeType = "text/calendar",
            Buffer = System.Text.Encoding.UTF8.GetBytes(
                $"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//EN\r\nBEGIN:VEVENT\r\nUID:1\r\nDTSTAMP:20260101T000000Z\r\nSUMMARY:Iris Hale nights\r\nDTSTART;TZID=America/New_York:{begins}T200000\r\nDURATION:PT12H\r\nEND:VEVENT\r\n"
                + $"BEGIN:VEVENT\r\nUID:2\r\nDTSTAMP:20260101T000000Z\r\nSUMMARY:Clinic closed\r\nDTSTART;VALUE=DATE:{begins}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"),
        });
        await lead.GetByRole(AriaRole.Button, new() { Name = "Look at it first" }).ClickAsync();
        await Assertions.Expect(lead.GetByText("1 shift, 1 left out")).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(lead, "import");
        await lead.GetByRole(AriaRole.Button, new() { Name = "Add 1 shift" }).ClickAsync();
        await Assertions.Expect(lead.GetByRole(AriaRole.Status)).ToContainTextAsync("1 shift added");
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
