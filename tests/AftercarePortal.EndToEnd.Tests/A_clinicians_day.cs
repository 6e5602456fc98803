using Microsoft.Playwright;
using NodaTime;
using SkiaSharp;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

/// <summary>One patient from the intake to the review, as the clinician meets her; wrong input on the way, on phone, tablet and desk.</summary>
public sealed class A_clinicians_day(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    private static readonly (string Name, int Width, int Height)[] Screens = [("phone", 390, 844), ("tablet", 820, 1180), ("desk", 1440, 900)];
    private static string Today => SystemClock.Instance.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb["America/New_York"]).Date.ToString("d MMMM uuuu", System.Globalization.CultureInfo.InvariantCulture);

    [Fact]
    public async Task From_a_Spanish_intake_over_measures_plan_consent_and_record_to_texts_in_Spanish_and_the_review()
    {
        var phone = await demo.WindowWithoutScript();
        var link = await Sends_an_intake_in_Spanish(phone);
        var desk = await demo.SignedIn("tomas");
        await desk.SetViewportSizeAsync(820, 1180);
        var review = await Invites(desk);
        var patient = (await desk.GetByRole(AriaRole.Link, new() { Name = "Record a treatment" }).GetAttributeAsync("href"))!.Split('/')[^1];

        await Measures(desk, patient);
        await Examines(desk, review);
        await phone.GotoAsync(link);
        await Assertions.Expect(phone.GetByRole(AriaRole.Status).First).ToBeVisibleAsync();
        await Seen(phone, "patient-both-ranges");

        await Plans(desk, patient);
        await Accepts_by_keyboard_alone(desk, patient);
        await Checks_the_kit(desk, patient);
        await Consents(desk, patient);
        var record = await Records(desk, patient);
        await Reviews(desk, record);
    }

    private async Task<string> Sends_an_intake_in_Spanish(IPage phone)
    {
        await phone.GotoAsync($"{demo.Portal}/Intake/at/wrenfold");
        await phone.GetByRole(AriaRole.Link, new() { Name = "Leer en español" }).ClickAsync();
        await phone.GetByRole(AriaRole.Button, new() { Name = "Empezar las preguntas" }).ClickAsync();
        await phone.GetByLabel("Día").FillAsync("28");
        await phone.GetByLabel("Mes").SelectOptionAsync("2");
        await phone.GetByLabel("Año").FillAsync("1988");
        await phone.GetByRole(AriaRole.Button, new() { Name = "Seguir" }).ClickAsync();
        var link = phone.Url[..phone.Url.LastIndexOf('/')];
        for (var i = 0; i < 80 && !phone.Url.EndsWith("/check", StringComparison.Ordinal); i++)
        {
            var wished = phone.Locator("#choice-jaw-body, #choice-caha-filler, #choice-clear");
            if (await wished.CountAsync() == 0) await phone.GetByRole(AriaRole.Button, new() { Name = "Dejar en blanco" }).ClickAsync();
            else
            {
                await wished.First.CheckAsync();
                await phone.GetByRole(AriaRole.Button, new() { Name = "Seguir" }).ClickAsync();
            }
        }

        await phone.GetByRole(AriaRole.Button, new() { Name = "Ver qué significa" }).ClickAsync();
        await phone.GetByRole(AriaRole.Link, new() { Name = "Añadir fotos" }).ClickAsync();
        await phone.GetByRole(AriaRole.Link, new() { Name = "Seguir sin fotos" }).First.ClickAsync();
        await phone.GetByLabel("Su nombre").FillAsync("Ines Prado");
        await phone.GetByLabel("Su número de móvil").FillAsync("(202) 555-0178");
        await phone.Locator("#MayText").CheckAsync();
        await phone.GetByRole(AriaRole.Button, new() { Name = "Enviar a Wrenfold Clinic" }).ClickAsync();
        await Assertions.Expect(phone.GetByRole(AriaRole.Status)).ToContainTextAsync("Enviado a Wrenfold Clinic");
        return link;
    }

    private async Task<string> Invites(IPage desk)
    {
        await desk.GotoAsync(demo.Portal + "/Review");
        await desk.GetByRole(AriaRole.Link, new() { Name = "Ines Prado" }).ClickAsync();
        var review = new Uri(desk.Url).AbsolutePath;
        await Shows_what_matters_on_the_first_two_screens(desk);
        await Seen(desk, "review");
        await Printed(desk, "review-print");
        await desk.GetByLabel("Invite to a consultation").CheckAsync();
        await desk.GetByLabel("Your reason").FillAsync("Many answers left out: to be asked in person.");
        await desk.GetByLabel("What the person reads").FillAsync("Llámenos, por favor, para buscar un día.");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep this decision" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Link, new() { Name = "Record a treatment" })).ToBeVisibleAsync();
        await Seen(desk, "review-decided");
        return review;
    }

    // Many answers are left out, so the rules have much to say; a decision hangs on a few lines.
    private static async Task Shows_what_matters_on_the_first_two_screens(IPage desk)
    {
        var before = desk.ViewportSize!;
        await desk.SetViewportSizeAsync(Screens[0].Width, Screens[0].Height);
        var glance = desk.GetByRole(AriaRole.Region, new() { Name = "At a glance" });
        foreach (var matters in new[] { glance.GetByText("Not decided yet"), glance.GetByText("Cost:"), glance.GetByRole(AriaRole.Link, new() { Name = "All findings" }), glance.GetByRole(AriaRole.Link, new() { Name = "Decide" }) })
            Assert.InRange((await matters.BoundingBoxAsync())!.Y, 0, 2 * Screens[0].Height);
        Assert.InRange(await desk.EvaluateAsync<int>("document.documentElement.scrollHeight"), 1, 5500);
        await glance.GetByRole(AriaRole.Link, new() { Name = "Decide" }).ClickAsync();
        await Assertions.Expect(desk.GetByLabel("Your reason")).ToBeInViewportAsync();
        await desk.SetViewportSizeAsync(before.Width, before.Height);
    }

    private async Task Measures(IPage desk, string patient)
    {
        (string View, (string Landmark, int X, int Y)[] Marks)[] photos =
        [
            ("Left", [("Tragus", 560, 420), ("Gonion", 590, 700), ("Menton", 320, 900), ("Cervical", 480, 930), ("Neck", 520, 1100), ("ScaleFrom", 100, 1150), ("ScaleTo", 300, 1150)]),
            ("Right", [("Tragus", 340, 420), ("Gonion", 310, 700), ("Menton", 580, 905), ("Cervical", 420, 930), ("Neck", 380, 1100)]),
            ("Front", [("RightEye", 330, 430), ("LeftEye", 570, 430), ("RightGonion", 240, 760), ("LeftGonion", 662, 775), ("Menton", 455, 930)]),
        ];
        foreach (var (view, marks) in photos)
        {
            await desk.GotoAsync($"{demo.Portal}/Review/Photos/{patient}");
            await desk.GetByLabel("What it shows").SelectOptionAsync(view);
            await desk.GetByLabel("Photo", new() { Exact = true }).SetInputFilesAsync(Photo());
            await desk.GetByRole(AriaRole.Button, new() { Name = "Add" }).ClickAsync();
            await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "Place landmarks" })).ToBeVisibleAsync();
            await desk.GetByText("Type the places instead").ClickAsync();
            await desk.Locator($"#x-{marks[0].Landmark}").FillAsync("5000");
            await desk.Locator($"#y-{marks[0].Landmark}").FillAsync("10");
            await desk.GetByRole(AriaRole.Button, new() { Name = "Keep places and scale" }).ClickAsync();
            await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToBeVisibleAsync();
            await Assertions.Expect(desk.Locator($"#x-{marks[0].Landmark}")).ToHaveValueAsync("5000");
            if (view is "Left") await Seen(desk, "measure-off-the-picture");
            foreach (var (landmark, x, y) in marks)
            {
                await desk.Locator($"#x-{landmark}").FillAsync($"{x}");
                await desk.Locator($"#y-{landmark}").FillAsync($"{y}");
            }

            if (view is "Left") await desk.GetByLabel("Length between the ends of the scale").FillAsync("50");
            await desk.GetByRole(AriaRole.Button, new() { Name = "Keep places and scale" }).ClickAsync();
            await Assertions.Expect(desk.Locator(".card h3").First).ToBeVisibleAsync();
            await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToHaveCountAsync(0);
            await Seen(desk, $"measure-{view.ToLowerInvariant()}");
        }

        await Printed(desk, "measure-print");
        await desk.GotoAsync($"{demo.Portal}/Review/Photos/{patient}");
        await Assertions.Expect(desk.GetByText("Gonial angle on the photos, left less right")).ToBeVisibleAsync();
        await Seen(desk, "photos-compared");
    }

    private async Task Examines(IPage desk, string review)
    {
        await desk.GotoAsync(demo.Portal + review.Replace("/Review/", "/Review/Examine/", StringComparison.Ordinal));
        await Assertions.Expect(desk.GetByText("The angles were taken from the patient's measured photos")).ToBeVisibleAsync();
        await desk.GetByLabel("Looseness of the skin").SelectOptionAsync(new SelectOptionValue { Index = 2 });
        await desk.GetByLabel("Support by bone and teeth").SelectOptionAsync(new SelectOptionValue { Index = 2 });
        await desk.GetByLabel("Earlier product in the place").SelectOptionAsync("none");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Keep, and work the range out again" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("Examined so far")).ToBeVisibleAsync();
        await Seen(desk, "examined");
    }

    private async Task Plans(IPage desk, string patient)
    {
        await desk.GotoAsync($"{demo.Portal}/Treatment/Plan/{patient}");
        foreach (var (i, side, ml) in new[] { (0, "Left", "77"), (1, "Right", "1.6") })
        {
            if (i > 0) await desk.GetByRole(AriaRole.Button, new() { Name = "Add a line" }).ClickAsync();
            await desk.Locator($"#line-{i}-region").SelectOptionAsync("JawBody");
            await desk.Locator($"#line-{i}-side").SelectOptionAsync(side);
            await desk.Locator($"#line-{i}-product").SelectOptionAsync("CaHA filler");
            await desk.Locator($"#line-{i}-amount").FillAsync(ml);
            await desk.Locator($"#line-{i}-device").FillAsync("22 G cannula, 2 to 2.5 inch");
        }

        await desk.GetByRole(AriaRole.Button, new() { Name = "Save the plan" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("0.01 to 20.00 mL");
        await Seen(desk, "plan-impossible");
        await desk.Locator("#line-0-amount").FillAsync("1.5");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Save the plan" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("Version 1, saved by")).ToBeVisibleAsync();
        await Seen(desk, "plan");
    }

    // Tab, letters, Space and Enter are all it takes.
    private async Task Accepts_by_keyboard_alone(IPage desk, string patient)
    {
        await desk.GotoAsync($"{demo.Portal}/Treatment/Plan/{patient}");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Hand the screen to the patient to accept it" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("después de la exploración")).ToBeVisibleAsync();
        await Assertions.Expect(desk.GetByText("cuerpo de la mandíbula, izquierda: relleno de CaHA, 1.50 mL")).ToBeVisibleAsync();
        await Seen(desk, "plan-accept");
        await TabTo(desk, "TypedName");
        await desk.Keyboard.TypeAsync("ines prado");
        await TabTo(desk, "Agrees");
        await desk.Keyboard.PressAsync("Space");
        await desk.Keyboard.PressAsync("Tab");
        await desk.Keyboard.PressAsync("Enter");
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync("Devuelva la pantalla a su clínico");
        await Seen(desk, "plan-accepted");
        await demo.TakeBack(desk, "tomas");
        await Assertions.Expect(desk.GetByText("Accepted by the patient on a screen handed over by Tomas Reed", new() { Exact = false })).ToBeVisibleAsync();
    }

    private async Task Checks_the_kit(IPage desk, string patient)
    {
        await desk.GotoAsync($"{demo.Portal}/Treatment/Plan/{patient}/Kit");
        foreach (var box in await desk.Locator("input[type=checkbox]").AllAsync()) await box.CheckAsync();
        await desk.Locator("#expiry-hyaluronidase").FillAsync("2020-01-31");
        await desk.Locator("#expiry-adrenaline").FillAsync("2040-01-31");
        await desk.GetByRole(AriaRole.Button, new() { Name = "All there and in date" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("expired on 31 January 2020. Do not start");
        await Seen(desk, "kit-expired");
        await desk.Locator("#expiry-hyaluronidase").FillAsync("2040-01-31");
        await desk.GetByRole(AriaRole.Button, new() { Name = "All there and in date" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToHaveCountAsync(0);
    }

    private async Task Consents(IPage desk, string patient)
    {
        await desk.GotoAsync($"{demo.Portal}/Patients");
        await desk.GotoAsync($"{demo.Portal}/Consent/{patient}");
        await Seen(desk, "consent-staff");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Hand the screen to the patient" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "Consentimiento para inyecciones" })).ToBeVisibleAsync();
        await Seen(desk, "consent");
        await Leads_nowhere_else(desk, patient);
        await desk.GetByRole(AriaRole.Button, new() { Name = "Firmar" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("Sin firmar");
        await desk.GetByLabel("Su nombre").FillAsync("Ines Prado");
        await desk.GetByLabel("He leído esto").CheckAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Firmar" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync("Devuelva la pantalla a su clínico");
        await demo.TakeBack(desk, "tomas");
        await desk.GetByRole(AriaRole.Link, new() { Name = "Sign as the clinician" }).ClickAsync();
        await desk.GetByLabel("I explained this").CheckAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Sign as the clinician" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("Signed by Tomas Reed as clinician")).ToBeVisibleAsync();
        await Seen(desk, "consent-signed");
        await desk.GetByRole(AriaRole.Link, new() { Name = "The patient withdraws this consent" }).ClickAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Write the withdrawal down" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("Choose how it was told");
        await Seen(desk, "consent-withdraw");
        await desk.GetByRole(AriaRole.Link, new() { Name = "No, leave it as it stands" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("Signed by Tomas Reed as clinician")).ToBeVisibleAsync();
    }

    // The back button, a typed address, and a second window of the same browser.
    private async Task Leads_nowhere_else(IPage desk, string patient)
    {
        var locked = new PageGetByRoleOptions { Name = "This screen is with a patient" };
        for (var back = 0; back < 2; back++)
        {
            await desk.GoBackAsync();
            await Assertions.Expect(desk.GetByRole(AriaRole.Heading, locked)).ToBeVisibleAsync();
            await Assertions.Expect(desk.GetByRole(AriaRole.Navigation)).ToHaveCountAsync(0);
        }

        await Seen(desk, "screen-with-a-patient");
        await desk.GotoAsync($"{demo.Portal}/Treatment/Record/{patient}");
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, locked)).ToBeVisibleAsync();
        var second = await desk.Context.NewPageAsync();
        await second.GotoAsync($"{demo.Portal}/Patients");
        await Assertions.Expect(second.GetByRole(AriaRole.Heading, locked)).ToBeVisibleAsync();
        await second.CloseAsync();
        await desk.GetByRole(AriaRole.Link, new() { Name = "Seguir leyendo" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "Consentimiento para inyecciones" })).ToBeVisibleAsync();
    }

    // The browser's own page, asked for again and again: whether it tells of this navigation depends on the moment.
    private static async Task NoConnection(IPage page)
    {
        for (var tries = 0; tries < 300; tries++)
        {
            try
            {
                if ((await page.EvaluateAsync<string>("location.href")).StartsWith("chrome-error:", StringComparison.Ordinal)) return;
            }
            catch (PlaywrightException)
            {
                // Between two pages.
            }

            await Task.Delay(100);
        }

        Assert.Fail($"The browser says nothing of a lost connection: {page.Url}");
    }

    private async Task<string> Records(IPage desk, string patient)
    {
        var address = $"{demo.Portal}/Treatment/Record/{patient}";
        var iris = await demo.SignedIn("iris");
        await iris.GotoAsync(address);
        await iris.Locator("#line-0-amount").FillAsync("0.4");
        await iris.GetByRole(AriaRole.Button, new() { Name = "Keep the draft" }).ClickAsync();

        await desk.SetViewportSizeAsync(820, 1180);
        await desk.GotoAsync(address);
        await Assertions.Expect(desk.GetByText("Iris Hale has begun a record of this patient, too")).ToBeVisibleAsync();
        await Seen(desk, "record-begun-by-another");
        await Fill(desk, "2024-01-31", "99");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Look it over, then sign" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("expired");
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("0.01 to 20.00 mL");
        await Seen(desk, "record-refused");
        await Fill(desk, "2040-01-31", "1.45");

        await desk.RouteAsync("**/Treatment/Record/**", lost => lost.AbortAsync(RequestAbortErrorCode.InternetDisconnected));
        await desk.GetByRole(AriaRole.Button, new() { Name = "Look it over, then sign" }).ClickAsync();
        await NoConnection(desk);
        await desk.UnrouteAllAsync();
        await desk.ReloadAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "Texts that signing starts" })).ToBeVisibleAsync();
        await Assertions.Expect(desk.GetByText("In Spanish.")).ToBeVisibleAsync();
        await Seen(desk, "record-look-over");

        // Iris signs first: hers stands, and nothing of the other's is lost.
        await Fill(iris, "2040-01-31", "0.4");
        await iris.GetByRole(AriaRole.Button, new() { Name = "Look it over, then sign" }).ClickAsync();
        await iris.GetByRole(AriaRole.Button, new() { Name = "Sign the record" }).ClickAsync();
        await Assertions.Expect(iris.GetByText("Signed by Iris Hale")).ToBeVisibleAsync();
        var first = new Uri(iris.Url).AbsolutePath;

        await desk.GetByRole(AriaRole.Button, new() { Name = "Sign the record" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToContainTextAsync("Not signed: Iris Hale signed a record");
        await Assertions.Expect(desk.Locator("#line-0-amount")).ToHaveValueAsync("1.45");
        await Seen(desk, "record-two-people");
        await desk.GetByLabel("This visit is").SelectOptionAsync(new SelectOptionValue { Index = 1 });
        await desk.GetByRole(AriaRole.Button, new() { Name = "Look it over, then sign" }).ClickAsync();
        await Assertions.Expect(desk.GetByText($"Touch-up of the treatment of {Today}.")).ToBeVisibleAsync();
        await Assertions.Expect(desk.GetByText("They take over from the texts of earlier treatments")).ToBeVisibleAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Sign the record" }).ClickAsync();
        await Assertions.Expect(desk.GetByText("A touch-up of the treatment of")).ToBeVisibleAsync();
        await Seen(desk, "record-signed");
        await Printed(desk, "record-print");
        var record = new Uri(desk.Url).AbsolutePath;
        await desk.GotoAsync(demo.Portal + first);
        await Assertions.Expect(desk.GetByText("Touched up on")).ToBeVisibleAsync();
        await desk.GotoAsync($"{demo.Portal}{record}/SheetPage");
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "Hoja de cuidados" })).ToBeVisibleAsync();
        await Seen(desk, "sheet");
        await Printed(desk, "sheet-print");
        return record;
    }

    private static async Task Fill(IPage page, string expiry, string ml)
    {
        foreach (var i in new[] { 0, 1 })
        {
            // A line that reads well is folded; one that does not stands open.
            foreach (var fold in await page.Locator($"details:has(#line-{i}-amount)").AllAsync())
                if (await fold.GetAttributeAsync("open") is null) await fold.Locator("summary").First.ClickAsync();
            await page.Locator($"#line-{i}-amount").FillAsync(ml);
        }

        foreach (var (id, value) in new[] { ("name", "Demo CaHA 1.5 mL"), ("lot", "DEMO-0417"), ("expiry", expiry) }) await page.Locator($"#line-0-{id}").FillAsync(value);
        await page.Locator("#line-0-plane").SelectOptionAsync("Supraperiosteal");
    }

    private async Task Reviews(IPage desk, string record)
    {
        await desk.GotoAsync(demo.Portal + record);
        await desk.GetByRole(AriaRole.Link, new() { Name = "How the patient finds the result" }).ClickAsync();
        await Seen(desk, "asked-staff");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Hand over the screen, in Spanish" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Heading, new() { Name = "¿Cómo lo ve usted?" })).ToBeVisibleAsync();
        await desk.GetByRole(AriaRole.Button, new() { Name = "Guardar mis respuestas" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Alert)).ToBeVisibleAsync();
        await Seen(desk, "asked-patient");
        await desk.GetByLabel("Poco a gusto").CheckAsync();
        await desk.GetByLabel("Con sus palabras").FillAsync("Me gusta, pero el lado derecho me tira un poco.");
        await desk.GetByRole(AriaRole.Button, new() { Name = "Guardar mis respuestas" }).ClickAsync();
        await Assertions.Expect(desk.GetByRole(AriaRole.Status)).ToContainTextAsync("guardadas");
        await Seen(desk, "asked-kept");
        await demo.TakeBack(desk, "tomas");
        await Assertions.Expect(desk.GetByText("Speak about this:")).ToBeVisibleAsync();
        await Seen(desk, "asked-answered");
        await desk.GotoAsync(demo.Portal + "/Outcomes");
        await Assertions.Expect(desk.GetByText("Not very happy: 1 of 1")).ToBeVisibleAsync();
        await Seen(desk, "outcomes");
    }

    private static async Task TabTo(IPage page, string id)
    {
        for (var i = 0; i < 60; i++)
        {
            await page.Keyboard.PressAsync("Tab");
            if (await page.EvaluateAsync<string>("document.activeElement.id") == id) return;
        }

        Assert.Fail($"{id} cannot be reached with the Tab key.");
    }

    private static async Task Seen(IPage page, string name)
    {
        var before = page.ViewportSize!;
        foreach (var (screen, width, height) in Screens)
        {
            await page.SetViewportSizeAsync(width, height);
            if (screen == "phone") await Demo_in_a_browser.LooksRight(page, $"day-{name}-{screen}");
            else await Demo_in_a_browser.Fits(page, $"day-{name}-{screen}");
        }

        await page.SetViewportSizeAsync(before.Width, before.Height);
    }

    private static async Task Printed(IPage page, string name)
    {
        await page.EmulateMediaAsync(new() { Media = Media.Print });
        await Demo_in_a_browser.Fits(page, $"day-{name}");
        await page.EmulateMediaAsync(new() { Media = Media.Screen });
    }

    // A drawn oval on a plain ground: no face of anybody.
    private static FilePayload Photo()
    {
        using var bitmap = new SKBitmap(900, 1200);
        using var canvas = new SKCanvas(bitmap);
        canvas.Clear(new SKColor(120, 130, 140));
        using var paint = new SKPaint { Color = new SKColor(200, 170, 150) };
        canvas.DrawOval(450, 560, 260, 380, paint);
        using var data = bitmap.Encode(SKEncodedImageFormat.Jpeg, 90);
        return new() { Name = "photo.jpg", MimeType = "image/jpeg", Buffer = data.ToArray() };
    }
}
