using Microsoft.Playwright;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

public sealed class Clinician_at_the_desk(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    private static readonly (string Name, int Width)[] Screens = [("phone", 390), ("tablet", 820)];

    [Fact]
    public async Task Finds_consent_record_lots_and_photos_on_phone_and_tablet()
    {
        var desk = await demo.SignedIn("tomas");
        await desk.GotoAsync($"{demo.Portal}/Treatment/Record");
        var record = await desk.Locator("main li a[href^='/Treatment/Record/']").First.GetAttributeAsync("href") ?? "";
        var patient = record.Split('/')[^1];

        await Looked(desk, $"/Consent/{patient}", "consent-list");
        await Looked(desk, $"/Consent/{patient}/lower-face", "consent-sign");
        await Looked(desk, $"/Review/Photos/{patient}", "photos");
        await Looked(desk, record, "record");

        await desk.Locator("input[type=image]").ClickAsync(new() { Position = new() { X = 247, Y = 189 } });
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync("Placement 1: jaw angle, left.");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Sign the record" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("choose the plane");
        await Looked(desk, record, "record-draft");

        await desk.GotoAsync($"{demo.Portal}/Treatment/Lots");
        await desk.GetByLabel("Lot, or the pack's barcode").FillAsync("demo 0417");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Find" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("1 patient", new() { Exact = false }).First).ToBeVisibleAsync();
        foreach (var (name, width) in Screens) await LooksRight(desk, "lots", name, width);
        await desk.GetByLabel("I approve this text").CheckAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Text them" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("Not reached by text")).ToBeVisibleAsync();
        foreach (var (name, width) in Screens) await LooksRight(desk, "recall", name, width);
    }

    private async Task Looked(IPage desk, string address, string name)
    {
        await desk.GotoAsync(demo.Portal + address);
        foreach (var (screen, width) in Screens) await LooksRight(desk, name, screen, width);
    }

    private static async Task LooksRight(IPage desk, string name, string screen, int width)
    {
        await desk.SetViewportSizeAsync(width, 1000);
        await Demo_in_a_browser.LooksRight(desk, $"clinician-{name}-{screen}");
    }
}
