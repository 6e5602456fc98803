using System.Net;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Photos;
using AftercarePortal.Web.Tests.Photos;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Aftercare;

public sealed class Photos_beside_baseline : IAsyncLifetime
{
    private static readonly Instant Signed = Instant.FromUtc(2031, 2, 1, 15, 0);
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, patient, early, late, old, baseline;
    private string page = "";

    public async Task InitializeAsync()
    {
        portal = await Open();
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        page = $"/Aftercare/Photos/{patient}";
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var store = scope.ServiceProvider.GetRequiredService<PhotoStore>();
        var number = (await db.Patients.SingleAsync()).Number;
        (old, baseline) = (Profile(Signed - Duration.FromDays(300)), Profile(Signed - Duration.FromDays(1)));
        Profile(Signed + Duration.FromDays(20));
        db.Add(new TreatmentRow { Id = Guid.CreateVersion7(), PatientId = patient, TreatedOn = new(2031, 2, 1), SignedBy = "Dr mara", SignedAt = Signed, Placements = [Placed()] });
        (early, late) = (Photo(3), Photo(90));
        await db.SaveChangesAsync();

        Guid Profile(Instant at)
        {
            var id = Guid.CreateVersion7();
            db.Add(new ProfilePhotoRow { Id = id, PatientId = patient, View = ProfileView.Left, Sealed = store.Close(Drawn.Jpeg(), id), Width = 16, Height = 16, AddedBy = "Dr mara", AddedAt = at });
            return id;
        }

        Guid Photo(int day)
        {
            var message = new MessageRow { ClinicId = clinic, CarrierId = $"SM{day}", From = number, To = "+12125550110", Text = "", MediaCount = 1, RawForm = "", ReceivedAt = Signed + Duration.FromDays(day), WrittenAt = Signed + Duration.FromDays(day) };
            var photo = new PhotoRow { ClinicId = clinic, MessageId = message.Id, Index = 0 };
            store.Keep(photo, Drawn.Jpeg(), SafePicture.From(Drawn.Jpeg()), "image/jpeg", message.ReceivedAt);
            db.AddRange(message, photo);
            return photo.Id;
        }
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private static PlacementRow Placed() => new()
    {
        Ordinal = 1, Region = Region.Chin, Side = Side.Midline, ProductClass = ProductClass.CaHAFiller, ProductName = "Demo CaHA 1.5 mL", Lot = "D-1", Expiry = new(2031, 6, 30), HundredthsMl = 20, Plane = Plane.Supraperiosteal, Device = "22 G",
    };

    [Fact]
    public async Task Of_a_record_signed_days_later_the_day_of_treatment_parts_before_from_after()
    {
        await using (var scope = portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            var store = scope.ServiceProvider.GetRequiredService<PhotoStore>();
            var other = new PatientRow { ClinicId = clinic, Name = "Jonas Example", Number = "+12125550159" };
            db.Add(other);
            db.Add(new TreatmentRow { Id = Guid.CreateVersion7(), PatientId = other.Id, TreatedOn = new(2031, 1, 28), SignedBy = "Dr mara", SignedAt = Signed, Placements = [Placed()] });
            foreach (var day in new[] { 27, 30 })
            {
                var id = Guid.CreateVersion7();
                db.Add(new ProfilePhotoRow { Id = id, PatientId = other.Id, View = ProfileView.Left, Sealed = store.Close(Drawn.Jpeg(), id), Width = 16, Height = 16, AddedBy = "Dr mara", AddedAt = Instant.FromUtc(2031, 1, day, 15, 0) });
            }

            var message = new MessageRow { ClinicId = clinic, CarrierId = "SM-other", From = other.Number, To = "+12125550110", Text = "", MediaCount = 1, RawForm = "", ReceivedAt = Instant.FromUtc(2031, 4, 28, 15, 0), WrittenAt = Instant.FromUtc(2031, 4, 28, 15, 0) };
            var photo = new PhotoRow { ClinicId = clinic, MessageId = message.Id, Index = 0 };
            store.Keep(photo, Drawn.Jpeg(), SafePicture.From(Drawn.Jpeg()), "image/jpeg", message.ReceivedAt);
            db.AddRange(message, photo, new PoseRow { PhotoId = photo.Id, View = ProfileView.Left, SetBy = "Dr mara", SetAt = Signed });
            await db.SaveChangesAsync();
            page = $"/Aftercare/Photos/{other.Id}";
        }

        var html = await desk.GetStringAsync(page);
        Assert.Contains("27 January 2031", html);
        Assert.DoesNotContain("30 January 2031", html);
        Assert.Contains("day 90", html);
    }

    [Fact]
    public async Task What_came_after_months_lands_beside_the_newest_photo_of_its_pose_from_before_the_treatment()
    {
        var before = await desk.GetStringAsync(page);
        Assert.Contains($"/Escalations/Photos/{late}/Small", before);
        Assert.DoesNotContain(early.ToString(), before);
        Assert.Equal(HttpStatusCode.Redirect, (await Send(desk, page, ("view", "Left"))).StatusCode);
        var html = await desk.GetStringAsync(page);
        Assert.Contains($"/Review/Pictures/{baseline}", html);
        Assert.DoesNotContain(old.ToString(), html);
        Assert.Contains($"<img src=\"/Escalations/Photos/{late}\" alt=\"Sent by text, day 90", html);
        Assert.DoesNotMatch("(?i)improved|better|normal|looks good", html);
    }

    [Fact]
    public async Task A_photo_that_shows_somebody_else_leaves_the_page_with_a_reason_and_comes_back_by_one_press()
    {
        await Send(desk, page, ("view", "Left"));
        var asked = await Send(desk, page + "?handler=SomebodyElse", ("why", "  "));
        Assert.Contains("write how it is known that the photo shows somebody else", await asked.Content.ReadAsStringAsync());
        Assert.Contains($"<img src=\"/Escalations/Photos/{late}\" alt", await desk.GetStringAsync(page));

        Assert.Equal(HttpStatusCode.Redirect, (await Send(desk, page + "?handler=SomebodyElse", ("why", "It is her sister, <she said>."))).StatusCode);
        var html = WebUtility.HtmlDecode(await desk.GetStringAsync(page));
        Assert.DoesNotContain($"<img src=\"/Escalations/Photos/{late}", html);
        Assert.Matches(@"Dr mara, \d+ \w+ 2031, \d\d:\d\d: <span class=""words"">It is her sister, <she said>.", html);
        Assert.Equal(HttpStatusCode.OK, (await desk.GetAsync($"/Escalations/Photos/{late}")).StatusCode);      // kept

        Assert.Equal(HttpStatusCode.Redirect, (await Send(desk, page + "?handler=Hers")).StatusCode);
        Assert.Contains($"<img src=\"/Escalations/Photos/{late}\" alt", await desk.GetStringAsync(page));
    }

    [Fact]
    public async Task A_baseline_of_somebody_else_gives_way_to_the_next()
    {
        var photos = $"/Review/Photos/{patient}";
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, photos + "?handler=SomebodyElse", OneOf(await desk.GetStringAsync(photos), baseline), ("why", "Another patient's, added by a slip."))).StatusCode);
        Assert.Contains($"/Review/Pictures/{old}", await desk.GetStringAsync(page));
        Assert.DoesNotContain(baseline.ToString(), await desk.GetStringAsync(page));
        var left = WebUtility.HtmlDecode(await desk.GetStringAsync(photos));
        Assert.DoesNotContain($"/Review/Measure/{baseline}", left);
        Assert.Contains("Another patient's, added by a slip.", left);
        Assert.Equal(HttpStatusCode.NotFound, (await Post(desk, photos + "?handler=SomebodyElse", OneOf(left, Guid.CreateVersion7()), ("why", "x"))).StatusCode);
    }

    // Only the form of this photo.
    private static string OneOf(string html, Guid photo) =>
        System.Text.RegularExpressions.Regex.Replace(html, "<input type=\"hidden\" name=\"photo\" value=\"[^\"]+\">", $"<input type=\"hidden\" name=\"photo\" value=\"{photo}\">");

    [Fact]
    public async Task A_number_that_changes_hands_keeps_her_photos_hers_and_shows_her_none_of_its_next_owner()
    {
        Guid next;
        await using (var scope = portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            var other = new PatientRow { ClinicId = clinic, Name = "Jonas Example", Number = (await db.Patients.SingleAsync()).Number };
            db.Add(other);
            db.Add(new TreatmentRow { Id = Guid.CreateVersion7(), PatientId = other.Id, TreatedOn = new(2031, 2, 1), SignedBy = "Dr mara", SignedAt = Signed, Placements = [Placed()] });
            db.Add(new PatientChangeRow { ClinicId = clinic, PatientId = other.Id, Name = other.Name, Number = "+12125550158", ChangedBy = "Dr mara", ChangedAt = Signed });
            db.Add(new PatientChangeRow { ClinicId = clinic, PatientId = other.Id, Name = other.Name, Number = other.Number, ChangedBy = "Dr mara", ChangedAt = Signed + Duration.FromDays(95) });
            await db.SaveChangesAsync();
            next = other.Id;
        }

        await Send(desk, $"/Patients/Edit/{patient}", ("Name", "Mira Example"), ("Number", "2125550157"));
        Assert.Contains(late.ToString(), await desk.GetStringAsync(page));
        Assert.DoesNotContain(late.ToString(), await desk.GetStringAsync($"/Aftercare/Photos/{next}"));
    }

    [Fact]
    public async Task No_pose_is_said_on_the_page_of_another_patient()
    {
        var other = Guid.CreateVersion7();
        await using (var scope = portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            db.Add(new PatientRow { Id = other, ClinicId = clinic, Name = "Jonas Lind", Number = "+12125550151" });
            await db.SaveChangesAsync();
        }

        var form = await desk.GetStringAsync(page);
        Assert.Equal(HttpStatusCode.NotFound, (await Post(desk, $"/Aftercare/Photos/{other}", form, ("view", "Left"))).StatusCode);
        Assert.DoesNotContain($"<img src=\"/Escalations/Photos/{late}\" alt", await desk.GetStringAsync(page));
    }

    [Fact]
    public async Task A_pose_said_anew_replaces_the_one_before_and_one_that_is_none_is_refused()
    {
        await Send(desk, page, ("view", "Left"));
        await Send(desk, page, ("view", "Front"));
        Assert.Equal(HttpStatusCode.NotFound, (await Send(desk, page, ("view", "Above"))).StatusCode);
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        Assert.Equal(ProfileView.Front, (await scope.ServiceProvider.GetRequiredService<PortalDb>().Poses.SingleAsync()).View);
    }

    [Fact]
    public async Task Another_clinic_finds_neither_page_nor_photo()
    {
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "jonas");
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(page)).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await Post(theirs, page, await theirs.GetStringAsync("/Staff/SignOut"), ("photo", late.ToString()), ("view", "Left"))).StatusCode);
    }
}
