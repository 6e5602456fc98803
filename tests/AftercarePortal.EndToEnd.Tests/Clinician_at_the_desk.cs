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
        await Looked(desk, $"/Consent/{patient}/lower-face", "screen-to-hand-over");
        await Looked(desk, $"/Review/Photos/{patient}", "photos");
        await Looked(desk, record, "record");

        await desk.Locator("input[type=image]").ClickAsync(new() { Position = new() { X = 247, Y = 189 } });
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync("Placement 1: jaw angle, left.");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Look it over, then sign" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("choose the plane");
        await Looked(desk, record, "record-draft");

        await Plans_and_signs(desk, patient);

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

    private async Task Plans_and_signs(IPage desk, string patient)
    {
        await desk.GotoAsync($"{demo.Portal}/Treatment/Plan/{patient}");
        await desk.GetByLabel("Region").SelectOptionAsync("JawAngle");
        await desk.GetByLabel("Patient's own side").SelectOptionAsync("Left");
        await desk.GetByLabel("Product class").SelectOptionAsync("CaHA filler");
        await desk.GetByLabel("Expected amount").FillAsync("0.75");
        await desk.GetByLabel("Needle or cannula").FillAsync("22 G cannula, 2 to 2.5 inch");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Save the plan" }).ClickAsync();
        await Looked(desk, $"/Treatment/Plan/{patient}", "plan");
        await demo.HandOver(desk, $"/Treatment/Plan/{patient}/Accept");
        await Looked(desk, $"/Treatment/Plan/{patient}/Accept", "plan-accept");
        await Looked(desk, "/Staff/Unlock", "screen-with-a-patient");
        await demo.TakeBack(desk, "tomas");
        await Looked(desk, $"/Treatment/Plan/{patient}/Kit", "kit");
        await desk.GotoAsync($"{demo.Portal}/Treatment/Record/{patient}");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Throw this draft away" }).ClickAsync();
        foreach (var (name, width) in Screens) await LooksRight(desk, "record-throw-away", name, width);
        await desk.GetByRole(AriaRole.Button, new() { Name = "Throw it away" }).ClickAsync();
        await desk.GetByLabel("Amount in mL").FillAsync("0.7");
        await desk.GetByLabel("Product", new() { Exact = true }).FillAsync("Demo CaHA 1.5 mL");
        await desk.GetByLabel("Lot (PRP").FillAsync("DEMO-0417");
        await desk.GetByLabel("Expiry").FillAsync("2031-01-31");
        await desk.GetByLabel("Plane").SelectOptionAsync("Supraperiosteal");

        // The connection is lost at the press of a button; when it is back, the same press goes through with everything typed.
        await desk.Context.SetOfflineAsync(true);
        await Assert.ThrowsAnyAsync<PlaywrightException>(() => Pressed(desk, "Keep, count and add a placement"));
        await desk.Context.SetOfflineAsync(false);
        await desk.ReloadAsync();
        await Assertions.Expect(desk.GetByText("jaw angle, left: CaHA filler, 0.70 mL", new() { Exact = false }).First).ToBeVisibleAsync();
        foreach (var (name, width) in Screens) await LooksRight(desk, "record-one-placed", name, width);
        await desk.GetByRole(AriaRole.Button, new() { Name = "Look it over, then sign" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "Texts that signing starts" })).ToBeVisibleAsync();
        foreach (var (name, width) in Screens) await LooksRight(desk, "record-look-over", name, width);
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "No consent stands" })).ToBeVisibleAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Sign without a consent" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("Not signed yet: say why");
        foreach (var (name, width) in Screens) await LooksRight(desk, "record-no-consent", name, width);
        await desk.GetByLabel("The consent was signed on paper").CheckAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Sign without a consent" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("Signed without a consent that stood.")).ToBeVisibleAsync();
        await Assertions.Expect(desk.GetByText("planned 0.75 mL, used 0.70 mL", new() { Exact = false })).ToBeVisibleAsync();
        foreach (var (name, width) in Screens) await LooksRight(desk, "record-signed", name, width);
        var signed = new Uri(desk.Url).AbsolutePath;
        await Looked(desk, signed + "/SheetPage?language=es", "sheet");
        await Looked(desk, $"/Aftercare/Photos/{patient}", "photos-beside");
    }

    private static async Task Pressed(IPage desk, string button)
    {
        await desk.GetByRole(AriaRole.Button, new() { Name = button }).ClickAsync();
        await Assertions.Expect(desk.GetByText("Draft of", new() { Exact = false })).ToBeVisibleAsync(new() { Timeout = 3000 });
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
