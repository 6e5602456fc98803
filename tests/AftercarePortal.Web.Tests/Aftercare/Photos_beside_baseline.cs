using System.Net;
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
        db.Add(new TreatmentRow { Id = Guid.CreateVersion7(), PatientId = patient, TreatedOn = new(2031, 2, 1), SignedBy = "Dr mara", SignedAt = Signed });
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
