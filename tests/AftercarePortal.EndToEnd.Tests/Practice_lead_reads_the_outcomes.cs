using Microsoft.Playwright;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

public sealed class Practice_lead_reads_the_outcomes(Demo_with_a_past demo) : IClassFixture<Demo_with_a_past>
{
    private static readonly (string Name, int Width)[] Screens = [("phone", 390), ("tablet", 820), ("desk", 1200)];

    [Fact]
    public async Task Sees_whether_ranges_held_ends_a_course_learns_and_looks_at_a_quote_before_and_after_the_examination()
    {
        var desk = await demo.SignedIn("tomas");
        await Demo_in_a_browser.GoTo(desk, "Outcomes");
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "Did the ranges hold?" })).ToBeVisibleAsync();
        await Assertions.Expect(desk.Locator("figure.range-chart")).ToHaveCountAsync(6);
        await Assertions.Expect(desk.Locator(".range").First).ToContainTextAsync(new System.Text.RegularExpressions.Regex("of 3[0-9] held, [0-9]+ %; by chance it could be"));
        await Looked(desk, "outcomes");
        await desk.GetByText("The same as a table").First.ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Rowheader, new() { Name = "jaw body" }).First).ToBeVisibleAsync();
        await desk.GetByRole(AriaRole.Link, new() { Name = "Show those after an examination" }).ClickAsync();
        await Looked(desk, "outcomes-examined");

        await desk.GetByRole(AriaRole.Link, new() { Name = "All cases, and courses still open" }).ClickAsync();
        await Looked(desk, "outcome-cases");
        var open = desk.Locator("article", new() { Has = desk.GetByRole(AriaRole.Button, new() { Name = "This course is over" }) });
        var before = await open.CountAsync();
        await open.First.GetByRole(AriaRole.Button).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("number of sessions");
        await open.First.GetByLabel("Sessions of skin treatment").FillAsync("1");
        await open.First.GetByRole(AriaRole.Button).ClickAsync();
        await Assertions.Expect(open).ToHaveCountAsync(before - 1);

        await desk.GetByRole(AriaRole.Link, new() { Name = "The quote as it was" }).First.ClickAsync();
        await Looked(desk, "quote");
        await desk.GetByRole(AriaRole.Link, new() { Name = "The intake" }).ClickAsync();
        await desk.Locator("a[href^='/Review/Examine/']").ClickAsync();
        await desk.GetByLabel("Looseness of the skin").SelectOptionAsync("moderate");
        await desk.GetByLabel("Support by bone and teeth").SelectOptionAsync("reduced");
        await desk.GetByLabel("Gonial angle, patient's left").FillAsync("122");
        await desk.GetByLabel("Gonial angle, patient's right").FillAsync("40");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep, and work the range out again" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("80 to 170 degrees");
        await Looked(desk, "examine-refused");
        await desk.GetByLabel("Gonial angle, patient's right").FillAsync("124");
        await desk.GetByLabel("Who is to treat").SelectOptionAsync("Iris Hale");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep, and work the range out again" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "After the examination" })).ToBeVisibleAsync();
        await Assertions.Expect(desk.GetByText("It follows the amounts that clinician has used here")).ToBeVisibleAsync();
        await Looked(desk, "examine");

        await desk.GotoAsync($"{demo.Portal}/Settings");
        await desk.GetByLabel("Of 100 totals").FillAsync("90");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync("Kept.");
        await desk.GetByText("What was changed, and by whom").ClickAsync();
        await Looked(desk, "settings-share");
        await desk.GotoAsync($"{demo.Portal}/Outcomes");
        await Assertions.Expect(desk.GetByText("The next ranges promise to hold 9 in 10 totals")).ToBeVisibleAsync();

        await desk.GotoAsync($"{demo.Portal}/Outcomes");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Learn now" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync(new System.Text.RegularExpressions.Regex("Learned|Nothing new"));      // the job after the ended course may have been faster
        await Assertions.Expect(desk.GetByText("from 40 cases")).ToBeVisibleAsync();
    }

    private static async Task Looked(IPage desk, string name)
    {
        foreach (var (screen, width) in Screens)
        {
            await desk.SetViewportSizeAsync(width, 1000);
            await Demo_in_a_browser.LooksRight(desk, $"lead-{name}-{screen}");
        }
    }
}
