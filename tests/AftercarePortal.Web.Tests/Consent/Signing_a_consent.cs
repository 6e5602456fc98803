using System.Net;
using System.Security.Cryptography;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Treatment;
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

    // On the screen in the patient's hands, which is then taken back.
    private Task<HttpResponseMessage> SignAsPatient(string name = Name, bool agrees = true) =>
        portal.FilledByPatient(desk, "mara", page, [("TypedName", name), .. agrees ? [("Agrees", "true")] : Array.Empty<(string, string)>()]);

    private async Task<string> Sign(string name = Name)
    {
        Assert.Equal(HttpStatusCode.Redirect, (await SignAsPatient(name)).StatusCode);
        var signed = "/Consent/Signed/" + await InDatabase(db => db.Consents.OrderByDescending(c => c.SignedAt).Select(c => c.Id).FirstAsync());
        await SignAsClinician(signed);
        return signed;
    }

    private async Task<HttpResponseMessage> SignAsClinician(string signed, bool explained = true) =>
        await Post(desk, signed + "?handler=Clinician", await desk.GetStringAsync(signed), explained ? [("Explained", "true")] : []);

    [Fact]
    public async Task What_was_read_is_kept_byte_for_byte_with_both_signatures()
    {
        var signed = await Sign(" patient of wrenfold clinic ");
        var kept = await InDatabase(db => db.Consents.SingleAsync());
        Assert.Equal(File.ReadAllBytes(Path.Combine(ContentLibrary.Folder, "consent", "lower-face.v1.md")), kept.Bytes);
        Assert.Equal((Convert.ToHexString(SHA256.HashData(kept.Bytes)), "Dr mara", 1, "en"), (kept.Hash, kept.Clinician, kept.Version, kept.Language));
        var mara = await InDatabase(db => db.Set<Web.Features.Staff.StaffRow>().Where(s => s.UserName == "mara").Select(s => s.Id).SingleAsync());
        Assert.Equal((mara, mara), (kept.HandedOverById, kept.ClinicianId));      // two people may have had one name
        Assert.Contains(kept.Hash, await desk.GetStringAsync(signed));
        var pdf = await desk.GetAsync(signed + "/Pdf");
        Assert.Equal("application/pdf", pdf.Content.Headers.ContentType!.MediaType);
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await pdf.Content.ReadAsByteArrayAsync()), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        Assert.NotNull(file.Internals.Catalog.Elements.GetDictionary("/StructTreeRoot"));
    }

    [Fact]
    public async Task A_record_is_held_against_the_consent_of_its_day_and_says_when_that_is_old_or_of_an_older_text()
    {
        await Sign();
        var record = $"/Treatment/Record/{patient}";
        Assert.DoesNotContain("consent that stands", await desk.GetStringAsync(record));
        var today = DateOnly.FromDateTime(portal.Clock.GetUtcNow().UtcDateTime);
        async Task<string> Of(DateOnly day) => WebUtility.HtmlDecode(await (await Send(desk, record + "?handler=Look", ("TreatedOn", $"{day:yyyy-MM-dd}"))).Content.ReadAsStringAsync());
        Assert.Contains("after the day of treatment", await Of(today.AddDays(-3)));
        Assert.Contains("not checked for this patient on the day of treatment", await Of(today.AddDays(-3)));

        await InDatabase(db => db.Consents.ExecuteUpdateAsync(set => set.SetProperty(c => c.From, c => new NodaTime.LocalDate(today.Year - 2, 1, 1))));
        Assert.Contains("more than a year before", await Of(today));
        await InDatabase(db => db.Consents.ExecuteUpdateAsync(set => set.SetProperty(c => c.Version, 0)));
        Assert.Contains("is of version 0 of its text; version 1 is in force now", await Of(today));
    }

    [Fact]
    public async Task Nobody_under_18_is_handed_the_screen_nor_signs_on_one_handed_over_before()
    {
        var tomorrow = portal.Clock.GetUtcNow().Date.AddYears(-18).AddDays(2);
        Assert.Contains("date of birth is not known", await desk.GetStringAsync($"/Consent/{patient}"));
        await InDatabase(db => db.Patients.ExecuteUpdateAsync(set => set.SetProperty(p => p.BornOn, NodaTime.LocalDate.FromDateTime(tomorrow))));
        var index = await desk.GetStringAsync($"/Consent/{patient}");
        Assert.Contains("is under 18", index);
        Assert.DoesNotContain("Hand the screen", index);
        Assert.Contains("Nobody under 18 is treated here", await (await SignAsPatient()).Content.ReadAsStringAsync());
        Assert.Equal(0, await InDatabase(db => db.Consents.CountAsync()));

        await InDatabase(db => db.Patients.ExecuteUpdateAsync(set => set.SetProperty(p => p.BornOn, NodaTime.LocalDate.FromDateTime(tomorrow.AddDays(-3)))));
        Assert.Contains("Hand the screen", await desk.GetStringAsync($"/Consent/{patient}"));
    }

    [Fact]
    public async Task Whoever_is_written_to_in_Spanish_reads_signs_and_prints_it_in_Spanish()
    {
        await InDatabase(db => db.Patients.ExecuteUpdateAsync(set => set.SetProperty(p => p.Language, "es")));
        await HandOver(desk, page);
        var html = WebUtility.HtmlDecode(await desk.GetStringAsync(page));
        Assert.Contains("<html lang=\"es\">", html);
        Assert.Contains("Consentimiento para inyecciones en la parte baja de la cara", html);
        Assert.Contains("todavía no la ha revisado ningún clínico de lengua española", html);
        Assert.Contains("He leído esto, han respondido a mis preguntas y estoy de acuerdo", html);
        foreach (var english in new[] { "Your name", "I read this", "Consent to injections", "interpreter" }) Assert.DoesNotContain(english, html);
        Assert.Contains("Escriba su nombre como está arriba", WebUtility.HtmlDecode(await (await Send(desk, page, ("TypedName", "otra persona"), ("Agrees", "true"))).Content.ReadAsStringAsync()));
        await portal.TakeBack(desk, "mara");

        var signed = await Sign();
        var kept = await InDatabase(db => db.Consents.SingleAsync());
        Assert.Equal(File.ReadAllBytes(Path.Combine(ContentLibrary.Folder, "consent", "lower-face.es.v1.md")), kept.Bytes);
        Assert.Equal("es", kept.Language);
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await desk.GetByteArrayAsync(signed + "/Pdf")), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        Assert.Equal(("es", "Consentimiento"), (file.Internals.Catalog.Elements.GetString("/Lang"), file.Info.Title));
    }

    [Theory]
    [InlineData("Somebody else", true, "Type your name as it stands")]
    [InlineData("", true, "Type your name as it stands")]
    [InlineData(Name, false, "Tick that you agree")]
    public async Task Without_the_patients_signature_nothing_is_kept(string name, bool agrees, string reason)
    {
        Assert.Contains(reason, await (await SignAsPatient(name, agrees)).Content.ReadAsStringAsync());
        Assert.Equal(0, await InDatabase(db => db.Consents.CountAsync()));
    }

    [Fact]
    public async Task It_does_not_count_until_the_clinician_has_signed_too_and_that_is_no_tick_on_the_patients_screen()
    {
        await HandOver(desk, page);
        Assert.DoesNotContain("Explained", await desk.GetStringAsync(page));
        await portal.TakeBack(desk, "mara");
        await SignAsPatient();
        var record = $"/Treatment/Record/{patient}";
        Assert.Contains("This patient signed a consent, but no clinician did", await desk.GetStringAsync(record));
        var signed = "/Consent/Signed/" + await InDatabase(db => db.Consents.Select(c => c.Id).SingleAsync());
        Assert.Contains("tick that you explained it", await (await SignAsClinician(signed, explained: false)).Content.ReadAsStringAsync());
        Assert.Contains("Not signed by a clinician", await desk.GetStringAsync(signed));
        await SignAsClinician(signed);
        Assert.DoesNotContain("no clinician did", await desk.GetStringAsync(record));
        Assert.Contains("Signed by Dr mara as clinician", await desk.GetStringAsync(signed));
    }

    [Fact]
    public async Task A_text_other_than_the_one_on_the_screen_is_not_signed()
    {
        await HandOver(desk, page);
        var html = (await desk.GetStringAsync(page)).Replace("name=\"Read\" value=\"", "name=\"Read\" value=\"0");
        Assert.Contains("has changed since it was opened", await (await Post(desk, page, html, ("TypedName", Name), ("Agrees", "true"))).Content.ReadAsStringAsync());
        Assert.Equal(0, await InDatabase(db => db.Consents.CountAsync()));
    }

    [Fact]
    public async Task The_last_look_before_signing_a_record_says_that_no_consent_stands_and_asks_why_until_one_does()
    {
        var record = $"/Treatment/Record/{patient}";
        async Task<string> Looked() => await (await Post(desk, record + "?handler=Look", await desk.GetStringAsync(record), Placed)).Content.ReadAsStringAsync();
        var before = await Looked();
        Assert.Contains("<h2>No consent stands</h2>", before);
        Assert.Contains("Why it is signed without one", before);
        Assert.DoesNotContain("Sign the record", before);
        await Sign();
        var after = await Looked();
        Assert.Contains("Sign the record", after);
        Assert.DoesNotContain("No consent stands", after);
    }

    // A treatment that was done has to be recorded, consent or none; nobody signs it by habit, and whoever reads it later sees why.
    [Theory]
    [InlineData(false, "No signed consent of this patient is kept here.")]
    [InlineData(true, "This patient withdrew consent.")]
    public async Task Where_no_consent_stands_a_record_is_signed_with_a_chosen_reason_that_stays_in_it(bool withdrawn, string gap)
    {
        if (withdrawn) await Withdraw(desk, await Sign());
        var record = $"/Treatment/Record/{patient}";
        var html = await desk.GetStringAsync(record);
        foreach (var said in new[] { "", "Whatever", "SomethingElse" })                 // something else is told in words
        {
            var asked = WebUtility.HtmlDecode(await (await Post(desk, record, html, [.. Placed, ("NoConsent", said), ("NoConsentWords", " ")])).Content.ReadAsStringAsync());
            Assert.Contains("Not signed yet: say why", asked);
            Assert.Contains("value=\"D-114\"", asked);
        }

        Assert.Equal(0, await InDatabase(db => db.Treatments.CountAsync()));
        Assert.Contains("D-114", await desk.GetStringAsync(record));                    // the draft is kept

        var signed = await Post(desk, record, html, [.. Placed, ("NoConsent", "OnPaper"), ("NoConsentWords", "to be <scanned>.")]);
        Assert.Equal((gap, "to be <scanned>."), await InDatabase(db => db.Treatments.Select(t => ValueTuple.Create(t.ConsentGap, t.NoConsentWords)).SingleAsync()));
        var kept = $"Signed without a consent that stood. {gap} Reason given: The consent was signed on paper: to be <scanned>.";
        Assert.Contains(kept, WebUtility.HtmlDecode(await desk.GetStringAsync(signed.Headers.Location)));
        using (var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await desk.GetByteArrayAsync($"{signed.Headers.Location}/Pdf")), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import))
            Assert.Contains("Signed without a consent that stood.", string.Concat(file.Pages.Cast<PdfSharp.Pdf.PdfPage>().Select(p => System.Text.Encoding.Latin1.GetString(p.Contents.CreateSingleContent().Stream.UnfilteredValue))));
        await Sign();                                                                   // one signed later leaves what was found then
        Assert.Contains(kept, WebUtility.HtmlDecode(await desk.GetStringAsync(signed.Headers.Location)));
    }

    [Fact]
    public async Task Where_a_consent_stands_a_record_asks_for_no_reason_and_keeps_none()
    {
        await Sign();
        var record = $"/Treatment/Record/{patient}";
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, record, await desk.GetStringAsync(record), [.. Placed, ("NoConsent", "Forgotten"), ("NoConsentWords", "left over")])).StatusCode);
        Assert.Equal(1, await InDatabase(db => db.Treatments.CountAsync(t => t.NoConsent == null && t.ConsentGap == "" && t.NoConsentWords == "")));
    }

    private static readonly (string, string)[] Placed =
    [
        ("TreatedOn", "2031-05-14"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"),
        ("Lines[0].Lot", "D-114"), ("Lines[0].Expiry", "2031-06-30"), ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"),
    ];

    [Fact]
    public async Task The_treatment_record_warns_until_one_is_signed_and_again_once_it_is_withdrawn()
    {
        var record = $"/Treatment/Record/{patient}";
        Assert.Contains("No signed consent of this patient", await desk.GetStringAsync(record));
        var signed = await Sign();
        Assert.DoesNotContain("Consent of this patient", await desk.GetStringAsync(record));
        await Withdraw(desk, signed);
        Assert.Contains("This patient withdrew consent", await desk.GetStringAsync(record));
        Assert.Contains("Withdrawn at 14 May 2031, 05:00, written down by Dr mara", await desk.GetStringAsync(signed));
    }

    [Theory]
    [InlineData(2000, true)]
    [InlineData(2001, false)]
    public async Task What_is_said_at_a_withdrawal_may_be_as_long_as_its_page_allows_line_breaks_counted_once(int length, bool kept)
    {
        var signed = await Sign();
        var said = string.Join("\r\n", Enumerable.Repeat("no", 600));                 // 1,799 characters as the page counts them, 2,398 as a browser sends them
        said += new string('.', length - 1799);
        var answer = await Withdraw(desk, signed, ("SaidBy", Name), ("Told", "InPerson"), ("Sure", "true"), ("Words", said));
        Assert.Equal(kept, answer.StatusCode is HttpStatusCode.Redirect);
        Assert.Equal(kept ? said.Replace("\r\n", "\n", StringComparison.Ordinal) : null, await InDatabase(db => db.Consents.Select(c => c.WithdrawnWords).SingleAsync()));
    }

    private static Task<HttpResponseMessage> Withdraw(HttpClient browser, string signed, params (string, string)[] typed) =>
        Send(browser, signed + "/Withdraw", typed.Length > 0 ? typed : [("SaidBy", Name), ("Told", "InPerson"), ("Sure", "true")]);

    [Fact]
    public async Task A_withdrawal_is_asked_about_and_who_said_so_how_and_what_stands_in_the_history()
    {
        var signed = await Sign();
        // One press of what stands beside the consent withdraws nothing.
        Assert.DoesNotContain("<button class=\"quiet\">The patient withdraws", await desk.GetStringAsync(signed));
        Assert.Contains($"value=\"{Name}\"", await desk.GetStringAsync(signed + "/Withdraw"));
        foreach (var (typed, reason) in new (string, string)[][] { [("SaidBy", Name), ("Told", "InPerson")], [("SaidBy", Name), ("Sure", "true")], [("SaidBy", " "), ("Told", "ByTelephone"), ("Sure", "true")] }.Zip(["Tick that", "Choose how", "Write who"]))
        {
            var refused = await (await Withdraw(desk, signed, [.. typed, ("Words", "has changed her mind <b>")])).Content.ReadAsStringAsync();
            Assert.Contains(reason, refused);
            Assert.Contains("has changed her mind &lt;b&gt;", refused);
        }

        Assert.Null(await InDatabase(db => db.Consents.Select(c => c.WithdrawnAt).SingleAsync()));
        var withdrawn = await Withdraw(desk, signed, ("SaidBy", "Mother of the patient"), ("Told", "ByTelephone"), ("Words", "has changed her mind"), ("Sure", "true"));
        Assert.Equal(signed, withdrawn.Headers.Location!.OriginalString);
        foreach (var html in new[] { await desk.GetStringAsync(signed), await desk.GetStringAsync($"/Consent/{patient}") })
            foreach (var said in new[] { "written down by Dr mara.</li>", "<li>Said by Mother of the patient, by telephone.</li>", "<li>What was said: has changed her mind</li>" })
                Assert.Contains(said, html);
        // Nothing is left to press.
        Assert.DoesNotContain("/Withdraw", await desk.GetStringAsync(signed));
        Assert.Equal(signed, (await desk.GetAsync(signed + "/Withdraw")).Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task A_withdrawal_holds_for_every_consent_to_the_same_document()
    {
        var (earlier, later) = (await Sign(), await Sign());
        Assert.NotEqual(earlier, later);
        await Withdraw(desk, later, ("SaidBy", Name), ("Told", "ByTelephone"), ("Sure", "true"));
        Assert.Contains("This patient withdrew consent.", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
        Assert.Contains("written down by Dr mara", await desk.GetStringAsync(earlier));
        await Sign();                                                           // read and signed anew, it stands
        Assert.DoesNotContain("withdrew consent", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
    }

    [Fact]
    public async Task Of_two_who_write_a_withdrawal_down_the_first_stands_and_the_second_is_told_while_a_double_tap_is_one()
    {
        var signed = await Sign();
        var jonas = await portal.SignedIn(clinic, "jonas");
        var (mine, theirs) = (await desk.GetStringAsync(signed + "/Withdraw"), await jonas.GetStringAsync(signed + "/Withdraw"));
        (string, string)[] form = [("Told", "InPerson"), ("Sure", "true")];
        var taps = await Task.WhenAll(Post(desk, signed + "/Withdraw", mine, [("SaidBy", Name), .. form]), Post(desk, signed + "/Withdraw", mine, [("SaidBy", Name), .. form]));
        Assert.All(taps, tap => Assert.Equal(HttpStatusCode.Redirect, tap.StatusCode));
        var told = await (await Post(jonas, signed + "/Withdraw", theirs, [("SaidBy", Name), ("Words", "rang me as well"), .. form])).Content.ReadAsStringAsync();
        Assert.Contains("Not kept: Dr mara had written down before", told);
        Assert.Contains("rang me as well", told);
        Assert.Equal("Dr mara", await InDatabase(db => db.Consents.Select(c => c.WithdrawnWith).SingleAsync()));
    }

    [Fact]
    public async Task Whether_it_counts_is_the_same_on_every_page_also_of_a_signature_without_its_instant()
    {
        var signed = await Sign();
        await InDatabase(db => db.Consents.ExecuteUpdateAsync(set => set.SetProperty(c => c.ClinicianSignedAt, (NodaTime.Instant?)null)));
        Assert.Contains("does not count yet", await desk.GetStringAsync(signed));
        Assert.Contains("no clinician did", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
        Assert.Contains("Sign as the clinician", await desk.GetStringAsync($"/Consent/{patient}"));
        await SignAsClinician(signed);
        Assert.DoesNotContain("does not count yet", await desk.GetStringAsync(signed));
        Assert.DoesNotContain("no clinician did", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
    }

    [Fact]
    public async Task That_it_is_signed_stands_only_where_it_was()
    {
        await HandOver(desk, page);
        foreach (var made_up in new[] { "?Kept=true", $"?Done={Guid.CreateVersion7()}", "?Done=true" }) Assert.DoesNotContain("Please give the screen back", await desk.GetStringAsync(page + made_up));
        var kept = await Send(desk, page, ("TypedName", Name), ("Agrees", "true"));
        Assert.Contains("Please give the screen back", await desk.GetStringAsync(kept.Headers.Location));
    }

    [Fact]
    public async Task A_cooling_off_time_is_told_until_it_is_over()
    {
        await InDatabase(async db =>
        {
            db.Add(new ConsentRow
            {
                Id = Guid.CreateVersion7(), PatientId = patient, DocumentId = "lower-face", Version = 1, Title = "t", Language = "en", Bytes = [], Hash = "", SignedAs = Name, HandedOverBy = "Dr mara",
                Clinician = "Dr mara", ClinicianSignedAt = default(NodaTime.Instant), SignedAt = default, From = new(2031, 5, 16),
            });
            return await db.SaveChangesAsync();
        });
        Assert.Contains("runs until 16 May 2031", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
        Assert.Null(await InDatabase(db => db.ConsentWarning(patient, new(2031, 5, 16), new(2031, 5, 16))));
    }

    [Fact]
    public async Task The_same_form_sent_twice_is_kept_once_and_a_kept_one_is_never_changed()
    {
        await HandOver(desk, page);
        var html = await desk.GetStringAsync(page);
        (string, string)[] form = [("TypedName", Name), ("Agrees", "true")];
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
        var signed = await Sign();
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "jonas");
        foreach (var address in new[] { signed, signed + "/Pdf", signed + "/Withdraw", $"/Consent/{patient}" }) Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(address)).StatusCode);
        await HandOver(theirs, page);
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(page)).StatusCode);
        await HandOver(desk, $"/Consent/{patient}/no-such-text");
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync($"/Consent/{patient}/no-such-text")).StatusCode);
    }
}
