using Microsoft.Playwright;
using NodaTime;
using SkiaSharp;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

public sealed class Prospective_patient(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    [Fact]
    public async Task Answers_the_questions_sees_what_speaks_against_treatment_and_what_it_may_cost_sends_it_and_is_answered()
    {
        var phone = await demo.WindowWithoutScript();
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

        await phone.EmulateMediaAsync(new() { Media = Media.Print });
        await Demo_in_a_browser.LooksRight(phone, "intake-result-print");
        await phone.EmulateMediaAsync(new() { Media = Media.Screen });

        await AddPhotos(phone);
        await phone.GetByRole(AriaRole.Link, new() { Name = "Send it to the clinic" }).ClickAsync();
        await Assertions.Expect(phone.GetByLabel("Your name")).ToBeInViewportAsync();
        await phone.GetByLabel("Your name").FillAsync("Jonas Lind");
        await phone.GetByLabel("Your mobile number").FillAsync("12");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Send to Wrenfold Clinic" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Alert)).ToContainTextAsync("does not look like a phone number");
        await phone.GetByLabel("Your mobile number").FillAsync("(202) 555-0177");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Send to Wrenfold Clinic" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Status)).ToContainTextAsync("Sent to Wrenfold Clinic");
        await Demo_in_a_browser.LooksRight(phone, "intake-sent");

        var desk = await demo.SignedIn("tomas");
        await Demo_in_a_browser.GoTo(desk, "Intakes");
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
        var phone = await demo.WindowWithoutScript();
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold");
        await phone.GetByRole(AriaRole.Link, new() { Name = "Leer en español" }).ClickAsync();
        await phone.GetByRole(AriaRole.Button, new() { Name = "Empezar las preguntas" }).ClickAsync();
        await phone.GetByLabel("Día").FillAsync("28");
        await phone.GetByLabel("Mes").SelectOptionAsync("2");
        await phone.GetByLabel("Año").FillAsync("1988");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Seguir" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-question-es");
        for (var i = 0; i < 80 && !phone.Url.EndsWith("/check", StringComparison.Ordinal); i++)
        {
            var jaw = phone.Locator("#choice-jaw-body");
            if (await jaw.CountAsync() == 0) await phone.GetByRole(AriaRole.Button, new() { Name = "Dejar en blanco" }).ClickAsync();
            else
            {
                await jaw.CheckAsync();
                await phone.GetByRole(AriaRole.Button, new() { Name = "Seguir" }).ClickAsync();
            }
        }

        await Demo_in_a_browser.LooksRight(phone, "intake-check-es");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Ver qué significa" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Heading, new() { Name = "Qué significan sus respuestas" })).ToBeVisibleAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Heading, new() { Name = "Por qué nadie puede decir una sola cifra" })).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-result-es");
        await phone.GetByRole(AriaRole.Link, new() { Name = "Añadir fotos" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-photos-es");
        await phone.GetByRole(AriaRole.Link, new() { Name = "Seguir sin fotos" }).First.ClickAsync();
        await phone.GetByLabel("Su nombre").FillAsync("Ines Prado");
        await phone.GetByLabel("Su número de móvil").FillAsync("(202) 555-0178");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Enviar a Wrenfold Clinic" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Status)).ToContainTextAsync("Enviado a Wrenfold Clinic");
        await Demo_in_a_browser.LooksRight(phone, "intake-sent-es");
    }

    [Fact]
    public async Task Writes_of_something_that_should_not_wait_and_is_told_at_once_whom_to_ring()
    {
        var phone = await demo.WindowWithoutScript();
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Start the questions" }).ClickAsync();
        await BornIn(phone, 1990);
        while (await phone.Locator("textarea").CountAsync() == 0) await phone.GetByRole(AriaRole.Button, new() { Name = "Leave this out" }).ClickAsync();
        await phone.Locator("textarea").FillAsync("since yesterday my skin has gone white where it was injected");
        await Continue(phone);
        await Assertions.Expect(phone.GetByRole(AriaRole.Alert)).ToContainTextAsync("may need help sooner");
        await Demo_in_a_browser.LooksRight(phone, "intake-urgent");
    }

    [Fact]
    public async Task Under_18_is_stopped_kindly_and_can_mend_a_slip()
    {
        var phone = await demo.WindowWithoutScript();
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

    private static async Task AddPhotos(IPage phone)
    {
        await phone.GetByRole(AriaRole.Link, new() { Name = "Add photos" }).ClickAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-photos");
        await phone.Locator("#front").SetInputFilesAsync(Photo(20));
        await phone.Locator("#left").SetInputFilesAsync(new FilePayload { Name = "letter.jpg", MimeType = "image/jpeg", Buffer = "%PDF-1.7"u8.ToArray() });
        await phone.GetByRole(AriaRole.Button, new() { Name = "Keep these photos" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Alert)).ToContainTextAsync("could not open this file as a photo");
        await Assertions.Expect(phone.GetByText("It looks too dark")).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(phone, "intake-photos-one-kept");
        await phone.Locator("#left").SetInputFilesAsync(Photo(140));
        await phone.GetByRole(AriaRole.Button, new() { Name = "Keep these photos" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Img, new() { Name = "Your photo: Your own left side" })).ToBeVisibleAsync();
        await phone.GetByRole(AriaRole.Link, new() { Name = "Go on to sending" }).First.ClickAsync();
        await Assertions.Expect(phone.GetByText("Photos added: 2 of 3")).ToBeVisibleAsync();
    }

    // A drawn oval on a plain ground: no face of anybody.
    private static FilePayload Photo(byte light)
    {
        using var bitmap = new SKBitmap(900, 1200);
        using var canvas = new SKCanvas(bitmap);
        canvas.Clear(new SKColor(light, light, light));
        using var paint = new SKPaint { Color = new SKColor((byte)(light + 60), (byte)(light + 40), (byte)(light + 30)) };
        canvas.DrawOval(450, 560, 260, 380, paint);
        using var data = bitmap.Encode(SKEncodedImageFormat.Jpeg, 90);
        return new() { Name = "photo.jpg", MimeType = "image/jpeg", Buffer = data.ToArray() };
    }

    private static Task Continue(IPage phone) => phone.GetByRole(AriaRole.Button, new() { Name = "Continue" }).ClickAsync();
}
