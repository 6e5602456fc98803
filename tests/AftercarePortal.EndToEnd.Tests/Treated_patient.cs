using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web.Features.Staff;
using Microsoft.Playwright;
using NodaTime;
using SkiaSharp;
using Xunit;

namespace AftercarePortal.EndToEnd.Tests;

public sealed class Treated_patient(Demo_in_a_browser demo) : IClassFixture<Demo_in_a_browser>
{
    [Fact]
    public async Task Texts_a_photo_of_a_sign_hears_back_and_the_clinician_sees_it()
    {
        var phones = await demo.Window();
        await phones.GotoAsync(demo.Phone);
        var mira = phones.Locator("section", new() { HasText = Seed.PatientNumber });
        await mira.GetByLabel("Write a text").FillAsync("it went white right where you injected, is that ok?");
        await mira.GetByLabel("Photos").SetInputFilesAsync(
        [
            new FilePayload { Name = "photo.jpg", MimeType = "image/jpeg", Buffer = Patch() },
            new FilePayload { Name = "film.mp4", MimeType = "video/mp4", Buffer = "no film"u8.ToArray() },
        ]);
        await mira.GetByRole(AriaRole.Button, new() { Name = "Send" }).ClickAsync();
        await Assertions.Expect(mira.GetByAltText("Photo 1 that was sent")).ToBeVisibleAsync();
        await Reload(phones, mira.GetByText("911"));                                     // the reply names the emergency number
        await Reload(phones, mira.GetByText("delivered"));
        await Demo_in_a_browser.LooksRight(phones, "handsets-with-a-photo");
        await Demo_in_a_browser.Tour(phones, "5-handset", phones.GetByRole(AriaRole.Heading, new() { Name = "Mira Sand" }));

        var page = phones.Locator("section", new() { HasText = Seed.FirstOnCall }).Locator("li", new() { HasText = "/Escalations/" });
        await Reload(phones, page);
        var window = await demo.Window();
        await window.GotoAsync((await page.First.InnerTextAsync()).Split().Single(w => w.StartsWith(demo.Portal, StringComparison.Ordinal)));
        await window.GetByLabel("Name").FillAsync("iris");
        await window.GetByLabel("Password").FillAsync(Seed.Password);
        await window.GetByRole(AriaRole.Button, new() { Name = "Continue" }).ClickAsync();
        var key = (await window.GetByText("Key:").InnerTextAsync()).Replace("Key:", "").Replace(" ", "").Trim();
        await window.GetByLabel("Six digits from the authenticator").FillAsync(OneTimeCode.At(key, OneTimeCode.StepAt(SystemClock.Instance.GetCurrentInstant())));
        await window.GetByRole(AriaRole.Button, new() { Name = "Finish and sign in" }).ClickAsync();

        var photo = window.GetByAltText("Photo 1 from the patient");
        await Reload(window, photo);
        Assert.True(await photo.EvaluateAsync<bool>("image => image.complete && image.naturalWidth > 0"), "The photo's place is there, but no picture in it.");
        await Reload(window, window.GetByText("a file we cannot show: ask for it again or ring"));
        await Assertions.Expect(window.GetByText("examine the patient").First).ToBeVisibleAsync();
        await Demo_in_a_browser.LooksRight(window, "report-with-a-photo");
        await Demo_in_a_browser.Tour(window, "6-report");
        await photo.ClickAsync();
        await window.WaitForURLAsync("**/Escalations/Photos/*");
        Assert.True(await window.EvaluateAsync<bool>("document.images[0].naturalWidth >= 900"), "The large photo is small.");
    }

    // A patch of skin tone with a pale place in it, drawn here: nobody's face.
    private static byte[] Patch()
    {
        using var surface = SKSurface.Create(new SKImageInfo(1200, 900));
        surface.Canvas.Clear(new SKColor(214, 168, 140));
        using var pale = new SKPaint { Color = new SKColor(243, 232, 226), IsAntialias = true, MaskFilter = SKMaskFilter.CreateBlur(SKBlurStyle.Normal, 40) };
        surface.Canvas.DrawOval(640, 480, 230, 150, pale);
        using var image = surface.Snapshot();
        using var jpeg = image.Encode(SKEncodedImageFormat.Jpeg, 90);
        return jpeg.ToArray();
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
