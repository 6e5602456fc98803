using Microsoft.Playwright;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

public sealed class Practice_lead(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    [Fact]
    public async Task Adds_a_patient_and_a_colleague_and_sets_the_quiet_hours()
    {
        var desk = await demo.SignedIn("tomas");
        await Demo_in_a_browser.GoTo(desk, "Patients");
        await Demo_in_a_browser.LooksRight(desk, "patients");
        await desk.GetByRole(AriaRole.Link, new() { Name = "Add a patient" }).ClickAsync();
        await desk.GetByLabel("Name").FillAsync("Ada Quill");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("phone number");
        await Demo_in_a_browser.LooksRight(desk, "patient-refused");
        await desk.GetByLabel("Mobile number").FillAsync("202 555 0188");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("How it stood")).ToBeVisibleAsync();

        await Demo_in_a_browser.GoTo(desk, "Staff");
        await desk.GetByLabel("Name to sign in with").FillAsync("noor");
        await desk.GetByLabel("Full name").FillAsync("Noor Vale");
        await desk.GetByLabel("Number for pages").FillAsync("+12025550112");
        await demo.ShowsAgain(desk, "tomas");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Add", Exact = true }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync("shown only now");
        await Demo_in_a_browser.LooksRight(desk, "staff");

        await Demo_in_a_browser.GoTo(desk, "Settings");
        await desk.GetByLabel("Quiet hours from").FillAsync("20:30");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync("Kept");
        await Demo_in_a_browser.LooksRight(desk, "settings");

        await desk.GetByRole(AriaRole.Link, new() { Name = "Where practice differs" }).ClickAsync();
        var vaccine = desk.GetByRole(AriaRole.Region, new() { Name = "vaccine-recent" });
        await vaccine.GetByLabel("2 weeks after a vaccine").CheckAsync();
        await vaccine.GetByLabel("Your reason").FillAsync("As our protocol has it");
        await vaccine.GetByRole(AriaRole.Button, new() { Name = "Keep this choice" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("Chosen so far: 1")).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(desk, "settings-rules");
    }
}
