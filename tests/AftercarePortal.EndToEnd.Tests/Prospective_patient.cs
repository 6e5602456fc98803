using Microsoft.Playwright;
using NodaTime;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

public sealed class Prospective_patient(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    [Fact]
    public async Task Answers_the_questions_sees_what_speaks_against_treatment_and_what_it_may_cost_sends_it_and_is_answered()
    {
        var phone = await demo.Window();
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold");
        await Demo_in_a_browser.LooksRight(phone, "intake-start");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Start the questions" }).ClickAsync();

        await phone.GetByLabel("Day").FillAsync("31");
        await phone.GetByLabel("Month").SelectOptionAsync("2");
        await phone.GetByLabel("Year").FillAsync("1988");
        await Continue(phone);
        await Assertions.Expect(phone.GetByRole(AriaRole.Alert)).ToContainTextAsync("There is no such day");
        await Assertions.Expect(phone.GetByLabel("Day")).ToHaveValueAsync("31");
        await Demo_in_a_browser.LooksRight(phone, "intake-no-such-day");
        await phone.GetByLabel("Day").FillAsync("28");
        await Continue(phone);

        var privateLink = phone.Url[..phone.Url.LastIndexOf('/')];
        var seen = 0;
        while (!phone.Url.EndsWith("/check", StringComparison.Ordinal))
        {
            Assert.True(++seen < 60, "The questions do not end.");
            await Answer(phone);
            if (seen == 5)
            {
                await Demo_in_a_browser.LooksRight(phone, "intake-question");
                await Demo_in_a_browser.Tour(phone, "1-question");
            }

            if (seen == 9) await phone.GotoAsync(privateLink);          // left and came back: the next open question
            else await Continue(phone);
        }

        await Demo_in_a_browser.LooksRight(phone, "intake-check");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Show what this means" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Heading, new() { Name = "To wait for" })).ToBeVisibleAsync();
        await Assertions.Expect(phone.GetByText("This is information, not an offer")).ToBeVisibleAsync();
        await Assertions.Expect(phone.Locator("body")).Not.ToContainTextAsync("you are suitable", new() { IgnoreCase = true });
        await Assertions.Expect(phone.GetByText("This ends by the day you wish for")).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-result");
        await Demo_in_a_browser.Tour(phone, "2-findings", phone.GetByRole(AriaRole.Heading, new() { Name = "To wait for" }));
        await Demo_in_a_browser.Tour(phone, "3-price-range", phone.GetByRole(AriaRole.Heading, new() { Name = "What it may cost" }));

        await phone.GetByLabel("Your name").FillAsync("Jonas Lind");
        await phone.GetByLabel("Your mobile number").FillAsync("12");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Send to Wrenfold Clinic" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Alert)).ToContainTextAsync("does not look like a phone number");
        await phone.GetByLabel("Your mobile number").FillAsync("(202) 555-0177");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Send to Wrenfold Clinic" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Status)).ToContainTextAsync("Sent to Wrenfold Clinic");
        await Demo_in_a_browser.LooksRight(phone, "intake-sent");

        var desk = await demo.SignedIn("tomas");
        await desk.GetByRole(AriaRole.Link, new() { Name = "Intakes" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(desk, "review-queue");
        await desk.GetByRole(AriaRole.Link, new() { Name = "Jonas Lind" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(desk, "review");
        await Demo_in_a_browser.Tour(desk, "4-review");
        await desk.GetByLabel("Invite to a consultation").CheckAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep this decision" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("Write your reason");
        await desk.GetByLabel("Your reason").FillAsync("Vaccine date known; nothing else told.");
        await desk.GetByLabel("What the person reads").FillAsync("Please ring us to find a day for your consultation.");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep this decision" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Link, new() { Name = "Record a treatment" })).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(desk, "review-decided");

        await phone.GotoAsync(privateLink);
        await Assertions.Expect(phone.GetByText("Please ring us to find a day")).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-answered");
    }

    [Fact]
    public async Task Reads_and_answers_in_Spanish()
    {
        var phone = await demo.Window();
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold");
        await phone.GetByRole(AriaRole.Link, new() { Name = "Leer en español" }).ClickAsync();
        await phone.GetByRole(AriaRole.Button, new() { Name = "Empezar las preguntas" }).ClickAsync();
        await phone.GetByLabel("Día").FillAsync("28");
        await phone.GetByLabel("Mes").SelectOptionAsync("2");
        await phone.GetByLabel("Año").FillAsync("1988");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Seguir" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-question-es");
        for (var i = 0; i < 60 && !phone.Url.EndsWith("/check", StringComparison.Ordinal); i++)
            await phone.GetByRole(AriaRole.Button, new() { Name = "Dejar en blanco" }).ClickAsync();
        await phone.GetByRole(AriaRole.Button, new() { Name = "Ver qué significa" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Heading, new() { Name = "Qué significan sus respuestas" })).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-result-es");
    }

    [Fact]
    public async Task Under_18_is_stopped_kindly_and_can_mend_a_slip()
    {
        var phone = await demo.Window();
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Start the questions" }).ClickAsync();
        await BornIn(phone, SystemClock.Instance.GetCurrentInstant().InUtc().Year - 16);
        await Assertions.Expect(phone.GetByRole(AriaRole.Heading, new() { Name = "We stop here" })).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-stopped");
        await phone.GetByRole(AriaRole.Link, new() { Name = "slip of the finger" }).ClickAsync();
        await BornIn(phone, 1990);
        await Assertions.Expect(phone.GetByText("Question 2 of about")).ToBeVisibleAsync();
    }

    private static async Task BornIn(IPage phone, int year)
    {
        await phone.GetByLabel("Day").FillAsync("3");
        await phone.GetByLabel("Month").SelectOptionAsync("6");
        await phone.GetByLabel("Year").FillAsync($"{year}");
        await Continue(phone);
    }

    // A healthy person who had a vaccine lately, wishes for the jaw, and is not sure of one thing.
    private static async Task Answer(IPage phone)
    {
        var question = await phone.Locator("h1").InnerTextAsync();
        if (question.Contains("last 4 weeks", StringComparison.Ordinal)) await phone.GetByLabel("A vaccine").CheckAsync();
        else if (question.Contains("What day was the vaccine", StringComparison.Ordinal))
        {
            await phone.GetByLabel("Or about").FillAsync("9");
            await phone.GetByLabel("ago, in").SelectOptionAsync("days");
        }
        else if (question.Contains("From what day", StringComparison.Ordinal))
        {
            var day = SystemClock.Instance.GetCurrentInstant().InUtc().Date.PlusDays(40);
            await phone.GetByLabel("Day").FillAsync($"{day.Day}");
            await phone.GetByLabel("Month").SelectOptionAsync($"{day.Month}");
            await phone.GetByLabel("Year").FillAsync($"{day.Year}");
        }
        else if (question.Contains("Which parts", StringComparison.Ordinal)) await phone.GetByLabel("The line of the jaw").CheckAsync();
        else if (question.Contains("in mind", StringComparison.Ordinal)) await phone.GetByLabel("CaHA filler").CheckAsync();
        else if (question.Contains("back teeth", StringComparison.Ordinal)) await phone.GetByLabel("Not sure").CheckAsync();
        else if (question.Contains("In your own words", StringComparison.Ordinal)) await phone.Locator("textarea").FillAsync("A firmer jaw line. I would be unhappy if it looked done.");
        else
        {
            var calm = phone.Locator(".choice", new() { HasTextRegex = new("^\\s*(No|None of these|No, or this cannot apply to me|Female|A little|A clearer line|English)\\s*$") });
            if (question.Contains("phone be on", StringComparison.Ordinal)) calm = phone.Locator(".choice", new() { HasTextRegex = new("^\\s*Yes\\s*$") });
            await calm.First.Locator("input").CheckAsync();
        }
    }

    private static Task Continue(IPage phone) => phone.GetByRole(AriaRole.Button, new() { Name = "Continue" }).ClickAsync();
}
