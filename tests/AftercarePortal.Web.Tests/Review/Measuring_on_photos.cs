using System.Net;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Tests.Photos;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Review;

public sealed class Measuring_on_photos : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, patient;

    public async Task InitializeAsync()
    {
        portal = await Open();
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private async Task<HttpResponseMessage> Upload(byte[] file, string view)
    {
        var page = $"/Review/Photos/{patient}";
        var token = System.Text.RegularExpressions.Regex.Match(await desk.GetStringAsync(page), "__RequestVerificationToken\" type=\"hidden\" value=\"([^\"]+)\"").Groups[1].Value;
        var form = new MultipartFormDataContent { { new StringContent(token), "__RequestVerificationToken" }, { new StringContent(view), "view" }, { new ByteArrayContent(file), "file", "photo.jpg" } };
        return await desk.PostAsync(page, form);
    }

    private async Task<string> Added(string view)
    {
        var answer = await Upload(Drawn.Jpeg(), view);
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        return answer.Headers.Location!.OriginalString;
    }

    private static (string, string)[] Places(params (Landmark Landmark, string X, string Y)[] places) =>
        [.. places.SelectMany(p => new[] { ($"X.{p.Landmark}", p.X), ($"Y.{p.Landmark}", p.Y) })];

    private static readonly (string, string)[] Corner = Places((Landmark.Tragus, "1", "1"), (Landmark.Gonion, "1", "13"), (Landmark.Menton, "15", "13"));

    [Fact]
    public async Task Typed_places_give_the_angle_with_its_uncertainty_and_norms_with_their_source()
    {
        var page = await Added("Left");
        Assert.Equal(HttpStatusCode.Redirect, (await Send(desk, page, Corner)).StatusCode);
        var html = WebUtility.HtmlDecode(await desk.GetStringAsync(page));
        Assert.Contains("90.0° ± ", html);
        Assert.Contains("if the head was turned 10° out of profile", html);
        Assert.Contains("S65, seen, grade B", html);
        Assert.DoesNotContain("Ramus length", html);

        // The picture to tap on and to print shows what is placed.
        var marked = page.Replace("/Measure/", "/Marked/", StringComparison.Ordinal);
        Assert.Contains($"src=\"{marked}\"", html);
        var picture = await desk.GetStringAsync(marked);
        Assert.Contains("<line ", picture);
        Assert.Contains("data:image/jpeg;base64,", picture);
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        Assert.Equal(HttpStatusCode.NotFound, (await (await portal.SignedIn(other, "jonas")).GetAsync(marked)).StatusCode);
    }

    [Fact]
    public async Task A_scale_gives_millimetres()
    {
        var page = await Added("Right");
        await Send(desk, page, [.. Corner, .. Places((Landmark.ScaleFrom, "2", "2"), (Landmark.ScaleTo, "12", "2")), ("ScaleMm", "50")]);
        Assert.Contains("60 ± ", WebUtility.HtmlDecode(await desk.GetStringAsync(page)));
    }

    [Fact]
    public async Task A_tap_places_the_chosen_landmark_in_pixels_of_the_picture()
    {
        var page = await Added("Left");
        var html = await desk.GetStringAsync(page + "?Size=680");
        await Post(desk, page + "?handler=Tap", html, ("Which", "Gonion"), ("At.x", "339"), ("At.y", "0"));
        var (mark, photo) = (await InDatabase(db => db.Marks.SingleAsync()), await InDatabase(db => db.ProfilePhotos.SingleAsync()));
        Assert.Equal(Landmark.Gonion, mark.Landmark);
        Assert.Equal(339.5 * photo.Width / 680, mark.X, 6);
    }

    [Fact]
    public async Task A_photo_from_the_front_gives_left_less_right_with_its_uncertainty_and_no_landmark_of_a_profile()
    {
        var page = await Added("Front");
        Assert.DoesNotContain("Tragus", await desk.GetStringAsync(page));
        await Send(desk, page, [.. Places((Landmark.RightEye, "4", "4"), (Landmark.LeftEye, "12", "4"), (Landmark.RightGonion, "3", "11"), (Landmark.LeftGonion, "13", "11"), (Landmark.ScaleFrom, "4", "14"), (Landmark.ScaleTo, "12", "14")), ("ScaleMm", "90")]);
        var html = WebUtility.HtmlDecode(await desk.GetStringAsync(page));
        Assert.Contains("0.0° ± ", html);
        Assert.Contains("smaller than what photos can show", html);
        Assert.Contains("Height of the gonia below the eyes, left less right", html);
        Assert.Contains("S69, seen", html);
        Assert.DoesNotContain("if the head was turned", html);
    }

    [Theory]
    [InlineData("-1", "5", "lies off the picture")]
    [InlineData("5", "99999", "lies off the picture")]
    [InlineData("NaN", "5", "give two numbers")]
    [InlineData("1e999", "5", "give two numbers")]
    [InlineData("", "5", "give two numbers")]
    [InlineData("<b>", "5", "give two numbers")]
    [InlineData("1", "1", "lie on one another")]
    public async Task A_place_that_cannot_be_is_refused_and_what_was_typed_stays(string x, string y, string reason)
    {
        var page = await Added("Left");
        var answer = await (await Send(desk, page, Places((Landmark.Tragus, "1", "1"), (Landmark.Gonion, x, y)))).Content.ReadAsStringAsync();
        Assert.Contains(reason, answer);
        Assert.Contains($"value=\"{WebUtility.HtmlEncode(y)}\"", answer);
        Assert.Equal(0, await InDatabase(db => db.Marks.CountAsync()));
    }

    [Theory]
    [InlineData("0")]
    [InlineData("501")]
    [InlineData("long")]
    public async Task A_scale_that_cannot_be_is_refused(string mm) =>
        Assert.Contains("The scale is 1 to 500 mm", await (await Send(desk, await Added("Left"), ("ScaleMm", mm))).Content.ReadAsStringAsync());

    [Fact]
    public async Task A_small_difference_of_left_and_right_is_called_smaller_than_photos_can_show()
    {
        await Send(desk, await Added("Left"), Corner);
        await Send(desk, await Added("Right"), Corner);
        Assert.Contains("smaller than what photos can show", await desk.GetStringAsync($"/Review/Photos/{patient}"));
    }

    [Fact]
    public async Task A_file_that_is_no_picture_and_a_view_that_is_none_are_refused()
    {
        Assert.Contains("no whole JPEG", await (await Upload("<script>"u8.ToArray(), "Left")).Content.ReadAsStringAsync());
        Assert.Contains("Choose what the photo shows", await (await Upload(Drawn.Jpeg(), "Above")).Content.ReadAsStringAsync());
        Assert.Equal(0, await InDatabase(db => db.ProfilePhotos.CountAsync()));
    }

    [Fact]
    public async Task The_picture_lies_encrypted_and_another_clinic_finds_neither_it_nor_its_page()
    {
        var page = await Added("Front");
        var photo = await InDatabase(db => db.ProfilePhotos.SingleAsync());
        Assert.False(photo.Sealed.AsSpan().StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]));
        Assert.Equal("image/jpeg", (await desk.GetAsync($"/Review/Pictures/{photo.Id}")).Content.Headers.ContentType!.MediaType);
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "jonas");
        foreach (var address in new[] { page, $"/Review/Pictures/{photo.Id}", $"/Review/Photos/{patient}" })
            Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(address)).StatusCode);
    }
}
