using System.Text;
using Microsoft.Playwright;
using NodaTime;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

/// <summary>A whole intake counted page by page, then what clinician and person say to each other until the visit.</summary>
public sealed class Between_intake_and_visit(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    private static readonly (string Name, int Width)[] Screens = [("phone", 390), ("desk", 1280)];

    /// <summary>Bytes a page may cost without compression; the style sheet comes once, beside it.</summary>
    private const long MostBytes = 40_000;

    [Fact]
    public async Task A_healthy_person_answers_about_thirty_short_questions_each_a_light_page_and_one_with_history_some_more()
    {
        var (healthy, healthyBytes) = await Walk(history: false);
        var (history, historyBytes) = await Walk(history: true);
        Console.WriteLine($"questions: healthy {healthy}, with history {history}; largest page {Math.Max(healthyBytes, historyBytes)} bytes");
        Assert.InRange(healthy, 20, 34);
        Assert.InRange(history, healthy + 1, 51);
        Assert.InRange(Math.Max(healthyBytes, historyBytes), 1, MostBytes);
    }

    [Fact]
    public async Task Clinician_and_person_settle_a_finding_a_question_a_visit_and_a_lost_link()
    {
        var phone = await demo.WindowWithoutScript();
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold");
        await phone.GetByRole(AriaRole.Link, new() { Name = "Leer en español" }).ClickAsync();
        await phone.GetByRole(AriaRole.Button, new() { Name = "Empezar las preguntas" }).ClickAsync();
        await phone.GetByLabel("Día").FillAsync("28");
        await phone.GetByLabel("Mes").SelectOptionAsync("2");
        await phone.GetByLabel("Año").FillAsync("1988");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Seguir" }).ClickAsync();
        var link = phone.Url[..phone.Url.LastIndexOf('/')];
        for (var i = 0; i < 80 && !phone.Url.EndsWith("/check", StringComparison.Ordinal); i++) await phone.GetByRole(AriaRole.Button, new() { Name = "Dejar en blanco" }).ClickAsync();
        await phone.GetByRole(AriaRole.Button, new() { Name = "Ver qué significa" }).ClickAsync();
        // Three pages that stay open while the fourth is sent.
        IPage question = await demo.WindowWithoutScript(), photos = await demo.WindowWithoutScript(), again = await demo.WindowWithoutScript();
        await question.GotoAsync(link + "/1");
        await photos.GotoAsync(link + "/photos");
        await again.GotoAsync(link + "/result");
        await phone.GotoAsync(link + "/result");
        await phone.GetByLabel("Su nombre").FillAsync("Ines Prado");
        await phone.GetByLabel("Su número de móvil").FillAsync("(202) 555-0178");
        await phone.Locator("#MayText").CheckAsync();
        await phone.GetByRole(AriaRole.Button, new() { Name = "Enviar a Wrenfold Clinic" }).ClickAsync();

        await question.GetByLabel("Año").FillAsync("1989");
        await question.GetByRole(AriaRole.Button, new() { Name = "Seguir" }).ClickAsync();
        await Assertions.Expect(question.GetByLabel("Año")).ToHaveValueAsync("1989");
        await Looked(question, "late-answer");
        await photos.Locator("main form button").First.ClickAsync();
        await Looked(photos, "late-photos");
        await again.GetByLabel("Su nombre").FillAsync("Inés Prado");
        await again.GetByLabel("Su número de móvil").FillAsync("(202) 555-0179");
        await again.GetByRole(AriaRole.Button, new() { Name = "Enviar a Wrenfold Clinic" }).ClickAsync();
        await Looked(again, "late-name");

        var desk = await demo.SignedIn("tomas");
        await desk.GotoAsync($"{demo.Portal}/Review");
        await desk.GetByRole(AriaRole.Link, new() { Name = "Ines Prado" }).ClickAsync();
        var page = desk.Url.Split('#')[0];
        await Looked(desk, "review-details");

        await desk.GotoAsync(page + "/Finding/1");
        await desk.GetByLabel("Your reason").FillAsync("Rang her: she skipped it by mistake");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep it beside the finding" }).ClickAsync();
        await Assertions.Expect(desk.GetByLabel("Your reason")).ToHaveValueAsync("Rang her: she skipped it by mistake");
        await Looked(desk, "review-override-refused");
        await desk.GetByLabel("Discuss").CheckAsync();
        await desk.GetByLabel("What follows").FillAsync("Asked again at the visit");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep it beside the finding" }).ClickAsync();
        await Looked(desk, "review-overridden");

        await desk.GotoAsync(page + "/Ask");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Ask" }).ClickAsync();
        await Looked(desk, "review-ask-refused");
        await desk.GetByLabel("Your question").FillAsync("¿Qué medicinas toma?");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Ask" }).ClickAsync();

        await phone.GotoAsync(link + "/result");
        await Looked(phone, "asked-result");
        await phone.GotoAsync(link + "/asked");
        await phone.Locator("form button").ClickAsync();
        await Looked(phone, "asked-refused");
        await phone.Locator("#Words").FillAsync("Ninguna, solo vitaminas");
        await phone.Locator("form button").ClickAsync();
        await Looked(phone, "asked-answered");

        await desk.GotoAsync($"{demo.Portal}/Review");
        await Looked(desk, "review-queue-answered");
        await desk.GotoAsync(page);
        await desk.GetByLabel("Invite to a consultation").CheckAsync();
        await desk.GetByLabel("Your reason").FillAsync("Nothing that speaks against talking.");
        await desk.GetByLabel("What the person reads").FillAsync("Venga a hablar con nosotros.");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep this decision" }).ClickAsync();
        await desk.GotoAsync(page + "/Visit");
        var day = SystemClock.Instance.GetCurrentInstant().InUtc().Date.PlusDays(9);
        await desk.GetByLabel("Day").FillAsync($"{day:uuuu-MM-dd}");
        await desk.GetByLabel("Time on the clinic").FillAsync("half past nine");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Invite" }).ClickAsync();
        await Assertions.Expect(desk.GetByLabel("Time on the clinic")).ToHaveValueAsync("half past nine");
        await Looked(desk, "review-visit-refused");
        await desk.GetByLabel("Time on the clinic").FillAsync("09:30");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Invite" }).ClickAsync();
        await desk.GotoAsync(page + "/Visit");
        await Looked(desk, "review-visit");
        await phone.GotoAsync(link + "/result");
        await Looked(phone, "visit-result");

        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold/lost?lang=es");
        await Looked(phone, "lost-es");
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold/lost");
        await phone.Locator("#number").FillAsync("12");
        await phone.Locator("form button").ClickAsync();
        await Assertions.Expect(phone.Locator("#number")).ToHaveValueAsync("12");
        await Looked(phone, "lost-refused");
        await phone.Locator("#number").FillAsync("(202) 555-0178");
        await phone.Locator("#day").FillAsync("28");
        await phone.Locator("#month").SelectOptionAsync("2");
        await phone.Locator("#year").FillAsync("1988");
        await phone.Locator("form button").ClickAsync();
        await Looked(phone, "lost-asked");
        await desk.GotoAsync(page);
        await desk.GetByRole(AriaRole.Button, new() { Name = "Make a new private link" }).ClickAsync();
        await Assertions.Expect(desk.Locator("#new-link")).ToBeVisibleAsync();
        await Looked(desk, "review-new-link");
        await phone.GotoAsync(link + "/result");
        await Looked(phone, "link-ended");

        await desk.GotoAsync($"{demo.Portal}/Settings/Rules");
        await Looked(desk, "settings-rules");
    }

    private async Task<(int Questions, long Bytes)> Walk(bool history)
    {
        var phone = await demo.WindowWithoutScript();
        long most = 0;
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Start the questions" }).ClickAsync();
        await phone.GetByLabel("Day").FillAsync("28");
        await phone.GetByLabel("Month").SelectOptionAsync("2");
        await phone.GetByLabel("Year").FillAsync("1988");
        var questions = 0;
        while (!phone.Url.EndsWith("/check", StringComparison.Ordinal))
        {
            Assert.True(++questions < 60, "The questions do not end.");
            most = Math.Max(most, Encoding.UTF8.GetByteCount(await phone.ContentAsync()));
            if (questions > 1) await Answer(phone, history);
            await phone.GetByRole(AriaRole.Button, new() { Name = "Continue" }).ClickAsync();
        }

        await Demo_in_a_browser.LooksRight(phone, history ? "walk-check-history" : "walk-check-healthy");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Show what this means" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(phone, history ? "walk-result-history" : "walk-result-healthy");
        return (questions, most);
    }

    // Calm answers, or the first one offered; words and days are left as they are when they may be.
    private static async Task Answer(IPage phone, bool history)
    {
        var question = await phone.Locator("h1").InnerTextAsync();
        if (await phone.Locator("textarea, input[type=text]:not(#about)").CountAsync() > 0 && await phone.Locator(".choice").CountAsync() == 0)
        {
            if (await phone.Locator("textarea").CountAsync() > 0) await phone.Locator("textarea").FillAsync("A firmer jaw line.");
            else if (await phone.Locator("#about").CountAsync() > 0) { await phone.Locator("#about").FillAsync("6"); await phone.GetByLabel("ago, in").SelectOptionAsync("weeks"); }
            else if (await phone.Locator("#day").CountAsync() > 0) { await phone.Locator("#day").FillAsync("10"); await phone.GetByLabel("Month").SelectOptionAsync("2"); await phone.GetByLabel("Year").FillAsync("2027"); }
            else await phone.Locator("input[type=text]").First.FillAsync("6");
            return;
        }

        var calm = phone.Locator(".choice", new() { HasTextRegex = new("^\\s*(No|None of these|No, or this cannot apply to me|Female|A little|A clearer line|English)\\s*$") });
        if (question.Contains("phone be on", StringComparison.Ordinal)) calm = phone.Locator(".choice", new() { HasTextRegex = new("^\\s*Yes\\s*$") });
        var first = phone.Locator(".choice").First;
        await ((history || await calm.CountAsync() == 0 ? first : calm.First).Locator("input")).CheckAsync();
    }

    private static async Task Looked(IPage page, string name)
    {
        foreach (var (screen, width) in Screens)
        {
            await page.SetViewportSizeAsync(width, 844);
            await Demo_in_a_browser.LooksRight(page, $"{name}-{screen}");
        }

        await page.SetViewportSizeAsync(390, 844);
    }
}
