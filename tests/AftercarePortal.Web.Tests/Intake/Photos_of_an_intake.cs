using System.Net;
using System.Text;
using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Tests.Photos;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Intake;

public sealed class Photos_of_an_intake : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private Intake_of person = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open("--Intake:MostPhotos=1000");
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        person = new(portal, clinic);
        await person.Result();
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private string Page => $"{person.Link}/photos";

    [Fact]
    public async Task Three_photos_are_kept_without_where_they_were_taken_and_encrypted_and_staff_see_them_beside_the_answers_once_sent()
    {
        await person.Upload(("front", Drawn.JpegWithExif(6, 600, 900)), ("left", Drawn.Png(600, 900)), ("right", Drawn.Jpeg(600, 900)));
        Assert.EndsWith("/photos", person.At, StringComparison.Ordinal);
        var page = await person.Show();
        foreach (var view in new[] { "front", "left", "right" }) Assert.Contains($"src=\"{person.Link}/photos/{view}\"", page, StringComparison.Ordinal);
        Assert.Contains("Photos added: 3 of 3", await person.Show($"{person.Link}/result"), StringComparison.Ordinal);
        var rows = await person.InClinic(db => db.IntakePhotos.ToListAsync());
        Assert.Equal((900, 600), rows.Where(r => r.View == FaceView.Front).Select(r => (r.Width, r.Height)).Single());
        Assert.All(rows, r => Assert.False(r.Sealed.AsSpan().StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8]), "A picture lies unencrypted."));

        var desk = await portal.SignedIn(clinic, "mara");
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync($"/Review/IntakePhotos/{rows[0].Id}")).StatusCode);
        await person.Send();
        var review = await desk.GetStringAsync($"/Review/{rows[0].IntakeId}");
        foreach (var row in rows)
        {
            Assert.Contains($"/Review/IntakePhotos/{row.Id}/Small", review, StringComparison.Ordinal);
            var jpeg = await desk.GetByteArrayAsync($"/Review/IntakePhotos/{row.Id}");
            Assert.True(jpeg.AsSpan().StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]));
            Assert.DoesNotContain("TestPhone", Encoding.Latin1.GetString(jpeg), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task They_may_all_be_left_out()
    {
        Assert.Contains("Go on without photos", await person.Show(Page), StringComparison.Ordinal);
        await person.Send();
        Assert.NotNull((await person.InClinic(db => db.Intakes.SingleAsync())).SubmittedAt);
        Assert.Contains("The person added none", await (await portal.SignedIn(clinic, "mara")).GetStringAsync($"/Review/{(await person.InClinic(db => db.Intakes.SingleAsync())).Id}"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_file_that_is_no_photo_is_refused_in_words_and_the_good_one_beside_it_is_kept()
    {
        var page = await person.Upload(("front", Drawn.Jpeg(600, 900)), ("left", "%PDF-1.7 and more"u8.ToArray()), ("right", new byte[8_000_001]));
        Assert.Contains("could not open this file as a photo", page, StringComparison.Ordinal);
        Assert.Contains("larger than 8 MB", page, StringComparison.Ordinal);
        Assert.Equal([FaceView.Front], await person.InClinic(db => db.IntakePhotos.Select(p => p.View).ToListAsync()));
        Assert.Contains($"src=\"{person.Link}/photos/front\"", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_dark_or_blurred_one_is_said_so_and_kept_all_the_same()
    {
        await person.Upload(("front", Drawn.Flat(700, 900, 20)));
        var page = await person.Show();
        Assert.Contains("It looks too dark.", page, StringComparison.Ordinal);
        Assert.Contains("It looks blurred.", page, StringComparison.Ordinal);
        Assert.Contains("You may try again, or leave it as it is.", page, StringComparison.Ordinal);
        Assert.Equal(1, await person.InClinic(db => db.IntakePhotos.CountAsync()));
    }

    [Fact]
    public async Task Another_takes_its_place_and_it_can_be_taken_out_until_it_is_sent()
    {
        await person.Upload(("front", Drawn.Jpeg(600, 900)));
        await person.Upload(("front", Drawn.Jpeg(900, 600)));
        Assert.Equal(900, await person.InClinic(db => db.IntakePhotos.Select(p => p.Width).SingleAsync()));
        await person.Post(Page, ("out-front", "true"));
        Assert.Equal(0, await person.InClinic(db => db.IntakePhotos.CountAsync()));
        await person.Upload(("left", Drawn.Jpeg(600, 900)));
        await person.Send();
        await person.Upload(("left", Drawn.Jpeg(900, 600)), ("right", Drawn.Jpeg(900, 600)));
        await person.Post(Page, ("out-left", "true"));
        Assert.Equal([(FaceView.Left, 600)], (await person.InClinic(db => db.IntakePhotos.ToListAsync())).Select(p => (p.View, p.Width)));
    }

    [Fact]
    public async Task Neither_another_link_nor_another_clinic_nor_a_moved_row_opens_one()
    {
        await person.Upload(("front", Drawn.Jpeg(600, 900)));
        var other = new Intake_of(portal, clinic);
        await other.Result();
        await other.Show($"{other.Link}/photos/front");
        Assert.Equal(HttpStatusCode.NotFound, other.Status);
        await person.Show($"{person.Link}/photos/front");
        Assert.Equal(HttpStatusCode.OK, person.Status);
        await person.Send();
        var id = await person.InClinic(db => db.IntakePhotos.Select(p => p.Id).SingleAsync());
        var (elsewhere, _) = await portal.Clinic("Other Clinic", 1);
        Assert.Equal(HttpStatusCode.NotFound, (await (await portal.SignedIn(elsewhere, "nils")).GetAsync($"/Review/IntakePhotos/{id}")).StatusCode);

        var into = await other.InClinic(db => db.Intakes.Where(i => i.SubmittedAt == null).Select(i => i.Id).SingleAsync());
        await other.InClinic(db => db.IntakePhotos.ExecuteUpdateAsync(set => set.SetProperty(p => p.IntakeId, into)));
        await other.Show($"{other.Link}/photos/front");
        Assert.Equal(HttpStatusCode.InternalServerError, other.Status);
    }

    [Fact]
    public async Task Of_an_intake_never_sent_they_go_with_it()
    {
        await person.Upload(("front", Drawn.Jpeg(600, 900)));
        portal.Clock.Advance(TimeSpan.FromDays(30));
        await person.RunDueJobs();
        Assert.Equal(0, await person.InClinic(db => db.IntakePhotos.IgnoreQueryFilters().CountAsync()));
    }

    [Fact]
    [Source("broken JPEG files and hostile pictures (shared data images/broken-jpeg, images/hostile, images/heic)", at: "every file")]
    public async Task Broken_and_hostile_files_get_a_sentence_and_no_page_falls()
    {
        var folder = Path.Combine(OpenData.Folder, "images");
        byte[][] files = Directory.Exists(folder)
            ? [.. new[] { "broken-jpeg", "hostile", Path.Combine("heic", "broken") }.SelectMany(f => Directory.GetFiles(Path.Combine(folder, f))).Order(StringComparer.Ordinal).Take(60).Select(File.ReadAllBytes).Where(b => b.Length > 0)]
            : [Drawn.PngBomb(20_000), Drawn.Jpeg()[..200], "GIF89a"u8.ToArray()];
        foreach (var file in files)
        {
            var page = await person.Upload(("front", file));
            Assert.True(person.Status is HttpStatusCode.Redirect || page.Contains("could not open this file", StringComparison.Ordinal), $"A file of {file.Length} bytes gave {person.Status}.");
        }
    }
}
