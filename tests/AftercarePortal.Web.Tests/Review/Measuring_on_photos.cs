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

    private Task<HttpResponseMessage> Upload(byte[] file, string view) => Upload(desk, patient, file, view);

    /// <summary>Adds a photo to measure; what the page answers.</summary>
    internal static async Task<HttpResponseMessage> Upload(HttpClient desk, Guid patient, byte[] file, string view)
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
    public async Task Of_two_who_place_landmarks_on_one_photo_the_second_is_told_and_keeps_what_was_typed()
    {
        var page = await Added("Left");
        var jonas = await portal.SignedIn(clinic, "jonas");
        var older = await jonas.GetStringAsync(page);
        await Send(desk, page, Corner);
        (string, string)[] theirs = [.. Places((Landmark.Gonion, "2", "12"), (Landmark.Neck, "3", "15")), ("ScaleMm", "50")];
        var told = WebUtility.HtmlDecode(await (await Post(jonas, page, older, theirs)).Content.ReadAsStringAsync());
        Assert.Contains("Not kept: Dr mara placed landmarks of this photo at", told);
        foreach (var typed in new[] { "name=\"X.Gonion\" value=\"2\"", "name=\"Y.Neck\" value=\"15\"", "name=\"ScaleMm\" value=\"50\"" }) Assert.Contains(typed, told);
        Assert.Contains("90.0° ± ", told);                                          // measures are of what stands
        Assert.Equal((1, 13, 3), await InDatabase(async db => ((int)await db.Marks.Where(m => m.Landmark == Landmark.Gonion).Select(m => m.X).SingleAsync(), (int)await db.Marks.Where(m => m.Landmark == Landmark.Gonion).Select(m => m.Y).SingleAsync(), await db.Marks.CountAsync())));

        // Kept once more, it is meant; what was not touched stays the other's.
        Assert.Equal(HttpStatusCode.Redirect, (await Post(jonas, page, told, theirs)).StatusCode);
        Assert.Equal(["Gonion by Dr jonas", "Menton by Dr mara", "Neck by Dr jonas", "Tragus by Dr mara"],
            (await InDatabase(db => db.Marks.Select(m => new { m.Landmark, m.PlacedBy }).ToListAsync())).Select(m => $"{m.Landmark} by {m.PlacedBy}").Order());
    }

    [Fact]
    public async Task A_tap_from_an_older_page_moves_nothing_somebody_placed_meanwhile()
    {
        var page = await Added("Left");
        var jonas = await portal.SignedIn(clinic, "jonas");
        var older = await jonas.GetStringAsync(page + "?Size=680");
        await Send(desk, page, Corner);
        (string, string)[] tap = [("Which", "Gonion"), ("At.x", "339"), ("At.y", "0")];
        var told = await (await Post(jonas, page + "?handler=Tap", older, tap)).Content.ReadAsStringAsync();
        Assert.Contains("Not kept: Dr mara placed landmarks", told);
        Assert.Equal(1, await InDatabase(db => db.Marks.Where(m => m.Landmark == Landmark.Gonion).Select(m => m.X).SingleAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(jonas, page + "?handler=Tap", told, tap)).StatusCode);
    }

    [Fact]
    public async Task Whoever_only_places_a_landmark_never_puts_a_scale_back_that_was_changed_meanwhile_and_hears_that_it_was_the_scale()
    {
        var page = await Added("Left");
        await Send(desk, page, [.. Corner, ("ScaleMm", "30")]);
        var jonas = await portal.SignedIn(clinic, "jonas");
        var older = await jonas.GetStringAsync(page);
        await Send(desk, page, [.. Corner, ("ScaleMm", "50")]);
        (string, string)[] theirs = [.. Corner, .. Places((Landmark.Neck, "3", "15")), ("ScaleMm", "30.0")];
        var told = WebUtility.HtmlDecode(await (await Post(jonas, page, older, theirs)).Content.ReadAsStringAsync());
        Assert.Contains("Not kept: its scale was changed, to 50.0 mm, while this page was open", told);
        Assert.DoesNotContain("placed landmarks of this photo", told);
        Assert.Contains("name=\"ScaleMm\" value=\"50.0\"", told);                 // what he did not touch is as it stands
        Assert.Contains("name=\"X.Neck\" value=\"3\"", told);
        Assert.Equal(HttpStatusCode.Redirect, (await Post(jonas, page, told, [.. Corner, .. Places((Landmark.Neck, "3", "15")), ("ScaleMm", "50.0")])).StatusCode);
        Assert.Equal((500, 4), (await InDatabase(db => db.ProfilePhotos.Select(p => p.ScaleTenthsMm).SingleAsync()), await InDatabase(db => db.Marks.CountAsync())));

        // A scale of his own stays as typed beside what stands.
        older = await jonas.GetStringAsync(page);
        await Send(desk, page, [.. Corner, ("ScaleMm", "")]);
        told = WebUtility.HtmlDecode(await (await Post(jonas, page, older, [.. Corner, ("ScaleMm", "60")])).Content.ReadAsStringAsync());
        Assert.Contains("its scale was changed, to none", told);
        Assert.Contains("name=\"ScaleMm\" value=\"60\"", told);
    }

    [Fact]
    public async Task A_landmark_left_as_the_page_showed_it_is_not_put_back_over_where_somebody_moved_it()
    {
        var page = await Added("Left");
        await Send(desk, page, Corner);
        var jonas = await portal.SignedIn(clinic, "jonas");
        var older = await jonas.GetStringAsync(page);
        await Send(desk, page, [.. Corner.Take(2), .. Places((Landmark.Gonion, "2", "12")), .. Corner.Skip(4)]);
        (string, string)[] theirs = [.. Corner, .. Places((Landmark.Neck, "3", "15"))];
        var told = WebUtility.HtmlDecode(await (await Post(jonas, page, older, theirs)).Content.ReadAsStringAsync());
        Assert.Contains("name=\"X.Gonion\" value=\"2\"", told);
        Assert.DoesNotContain("its scale", told);
        Assert.Equal(2, await InDatabase(db => db.Marks.Where(m => m.Landmark == Landmark.Gonion).Select(m => m.X).SingleAsync()));
        await Post(jonas, page, told, [.. Corner.Take(2), .. Places((Landmark.Gonion, "2", "12")), .. Corner.Skip(4), .. Places((Landmark.Neck, "3", "15"))]);
        Assert.Equal((2, 3), ((int)await InDatabase(db => db.Marks.Where(m => m.Landmark == Landmark.Gonion).Select(m => m.X).SingleAsync()), (int)await InDatabase(db => db.Marks.Where(m => m.Landmark == Landmark.Neck).Select(m => m.X).SingleAsync())));
    }

    [Fact]
    public async Task A_failure_that_is_no_conflict_is_no_story_about_a_colleague()
    {
        var page = await Added("Left");
        await InDatabase(db => db.Database.ExecuteSqlRawAsync("CREATE TRIGGER Full BEFORE INSERT ON ProfileMarks BEGIN SELECT RAISE(ABORT, 'disk full'); END"));
        Assert.Equal(HttpStatusCode.InternalServerError, (await Send(desk, page, Corner)).StatusCode);
    }

    [Fact]
    public async Task Of_two_who_place_landmarks_in_the_same_moment_one_is_told()
    {
        var page = await Added("Left");
        var jonas = await portal.SignedIn(clinic, "jonas");
        for (var round = 0; round < 6; round++)
        {
            var (mine, theirs) = (await desk.GetStringAsync(page), await jonas.GetStringAsync(page));
            var both = await Task.WhenAll(
                Post(desk, page, mine, Places((Landmark.Tragus, "1", $"{round}"), (Landmark.Gonion, "1", "13"))), Post(jonas, page, theirs, Places((Landmark.Tragus, "2", $"{round}"), (Landmark.Gonion, "1", "12"))));
            Assert.Equal([HttpStatusCode.OK, HttpStatusCode.Redirect], both.Select(b => b.StatusCode).Order());
        }
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
