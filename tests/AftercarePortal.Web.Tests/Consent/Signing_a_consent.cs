using System.Net;
using System.Security.Cryptography;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Consent;

public sealed class Signing_a_consent : IAsyncLifetime
{
    private const string Name = "Patient of Wrenfold Clinic";
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, patient;
    private string page = "";

    public async Task InitializeAsync()
    {
        portal = await Open();
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        page = $"/Consent/{patient}/lower-face";
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private Task<HttpResponseMessage> Sign(string name = Name, bool agrees = true, bool explained = true) =>
        Send(desk, page, [("TypedName", name), .. agrees ? [("Agrees", "true")] : Array.Empty<(string, string)>(), .. explained ? [("Explained", "true")] : Array.Empty<(string, string)>()]);

    [Fact]
    public async Task What_was_read_is_kept_byte_for_byte_with_both_signatures()
    {
        var signed = await Sign(" patient of wrenfold clinic ");
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
        var kept = await InDatabase(db => db.Consents.SingleAsync());
        Assert.Equal(File.ReadAllBytes(Path.Combine(ContentLibrary.Folder, "consent", "lower-face.v1.md")), kept.Bytes);
        Assert.Equal((Convert.ToHexString(SHA256.HashData(kept.Bytes)), "Dr mara", 1), (kept.Hash, kept.Clinician, kept.Version));
        Assert.Contains(kept.Hash, await desk.GetStringAsync(signed.Headers.Location));
        var pdf = await desk.GetAsync(signed.Headers.Location + "/Pdf");
        Assert.Equal("application/pdf", pdf.Content.Headers.ContentType!.MediaType);
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await pdf.Content.ReadAsByteArrayAsync()), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        Assert.NotNull(file.Internals.Catalog.Elements.GetDictionary("/StructTreeRoot"));
    }

    [Theory]
    [InlineData("Somebody else", true, true, "type your name as it stands")]
    [InlineData("", true, true, "type your name as it stands")]
    [InlineData(Name, false, true, "Patient: tick that you agree")]
    [InlineData(Name, true, false, "Clinician: tick that you explained")]
    public async Task Without_both_signatures_nothing_is_kept(string name, bool agrees, bool explained, string reason)
    {
        Assert.Contains(reason, await (await Sign(name, agrees, explained)).Content.ReadAsStringAsync());
        Assert.Equal(0, await InDatabase(db => db.Consents.CountAsync()));
    }

    [Fact]
    public async Task A_text_other_than_the_one_on_the_screen_is_not_signed()
    {
        var html = (await desk.GetStringAsync(page)).Replace("name=\"Read\" value=\"", "name=\"Read\" value=\"0");
        Assert.Contains("has changed since it was opened", await (await Post(desk, page, html, ("TypedName", Name), ("Agrees", "true"), ("Explained", "true"))).Content.ReadAsStringAsync());
        Assert.Equal(0, await InDatabase(db => db.Consents.CountAsync()));
    }

    [Fact]
    public async Task The_treatment_record_warns_until_one_is_signed_and_again_once_it_is_withdrawn()
    {
        var record = $"/Treatment/Record/{patient}";
        Assert.Contains("No signed consent of this patient", await desk.GetStringAsync(record));
        var signed = (await Sign()).Headers.Location!.OriginalString;
        Assert.DoesNotContain("Consent of this patient", await desk.GetStringAsync(record));
        await Send(desk, signed);
        await Send(desk, signed, ("again", "true"));
        Assert.Contains("This patient withdrew consent", await desk.GetStringAsync(record));
        Assert.Contains("Withdrawn at 2031-05-14T09:00:00Z (UTC), written down by Dr mara", await desk.GetStringAsync(signed));
    }

    [Fact]
    public async Task A_cooling_off_time_is_told_until_it_is_over()
    {
        await InDatabase(async db =>
        {
            db.Add(new ConsentRow
            {
                Id = Guid.CreateVersion7(), PatientId = patient, DocumentId = "lower-face", Version = 1, Title = "t", Bytes = [], Hash = "", SignedAs = Name, Clinician = "Dr mara",
                SignedAt = default, From = new(2031, 5, 16),
            });
            return await db.SaveChangesAsync();
        });
        Assert.Contains("runs until 2031-05-16", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
        Assert.Null(await InDatabase(db => db.ConsentWarning(patient, new(2031, 5, 16))));
    }

    [Fact]
    public async Task The_same_form_sent_twice_is_kept_once_and_a_kept_one_is_never_changed()
    {
        var html = await desk.GetStringAsync(page);
        (string, string)[] form = [("TypedName", Name), ("Agrees", "true"), ("Explained", "true")];
        var both = await Task.WhenAll(Post(desk, page, html, form), Post(desk, page, html, form));
        Assert.All(both, answer => Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode));
        Assert.Equal(1, await InDatabase(db => db.Consents.CountAsync()));
        await Assert.ThrowsAsync<InvalidOperationException>(() => InDatabase(async db =>
        {
            db.Entry(await db.Consents.SingleAsync()).Property(c => c.SignedAs).CurrentValue = "somebody else";
            return await db.SaveChangesAsync();
        }));
    }

    [Fact]
    public async Task Another_clinic_finds_neither_the_patient_nor_the_consent()
    {
        var signed = (await Sign()).Headers.Location!.OriginalString;
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "jonas");
        foreach (var address in new[] { page, signed, signed + "/Pdf", $"/Consent/{patient}" }) Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(address)).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync($"/Consent/{patient}/no-such-text")).StatusCode);
    }
}
