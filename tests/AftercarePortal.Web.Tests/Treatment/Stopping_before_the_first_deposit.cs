using System.Net;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Outcomes;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime.Extensions;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Treatment;

/// <summary>She faints, reacts to the anaesthetic, or blood comes at aspiration: nothing was placed, and it is recorded all the same.</summary>
public sealed class Stopping_before_the_first_deposit : IAsyncLifetime
{
    private const string Fainted = "Fainted after the anaesthetic; <awake> after a minute.";
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, mira;
    private int sessions;

    public async Task InitializeAsync()
    {
        portal = await Open("--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9");
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        mira = await InDatabase(async db =>
        {
            var patient = new PatientRow { Name = "Mira Example", Number = "+12125550151", AgreedToTextsAt = portal.Clock.GetCurrentInstant() };
            db.Add(patient);
            await db.SaveChangesAsync();
            return patient.Id;
        });
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    [Theory]
    [InlineData("", "", false)]
    [InlineData("  ", "", false)]
    [InlineData(Fainted, "", true)]
    [InlineData("", "0.75", true)]
    public async Task It_is_signed_when_an_event_or_what_was_drawn_up_is_told(string events, string drawn, bool signed)
    {
        (string, string)[] told = drawn.Length > 0 ? Drawn(drawn) : [];
        var answer = await Send(desk, Form, [.. Day, ("Events", events), .. told]);
        Assert.Equal(signed ? HttpStatusCode.Redirect : HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal(signed ? 1 : 0, await InDatabase(db => db.Treatments.CountAsync()));
        if (!signed) Assert.Contains("Give at least one placement; or, of a treatment stopped before the first, what happened", await Words(answer));
    }

    [Fact]
    public async Task The_last_look_says_that_no_placement_stands_and_that_no_texts_start()
    {
        var looked = await Words(await Send(desk, Form + "?handler=Look", [.. Day, ("Events", Fainted)]));
        Assert.Contains("No placement stands in this record.", looked);
        Assert.Contains("No texts start from it", looked);
        Assert.DoesNotContain("Texts that signing starts", looked);
        Assert.DoesNotContain("No placement stands", await Words(await Send(desk, Form + "?handler=Look", [.. Day, ("Events", Fainted), .. Placed("D-114")])));
    }

    [Fact]
    public async Task Lines_begun_are_taken_out_with_one_press_and_their_lots_are_kept_with_what_was_drawn_up()
    {
        var html = await desk.GetStringAsync(Form);
        var pressed = await Words(await Post(desk, Form + "?handler=Stopped", html, [.. Day, ("Lines[0].Region", "JawBody"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].Lot", "D-114"),
            ("Lines[1].Region", "JawBody"), ("Lines[1].Side", "Right"), ("Lines[1].Lot", "d 114"), ("Lines[2].Region", "Chin"), ("Lines[2].Scan", "(17)310630(10)D-9")]));
        Assert.DoesNotContain("value=\"JawBody\" selected", pressed);
        Assert.Contains("name=\"Drawn[0].Lot\" value=\"D-114\"", pressed);
        Assert.Contains("name=\"Drawn[1].Lot\" value=\"D-9\"", pressed);
        Assert.DoesNotContain("d 114", pressed);

        var left = await Words(await Post(desk, Form + "?handler=Stopped", html, [.. Day, .. Placed("D-114"), ("Lines[1].Region", "JawBody")]));
        Assert.Contains("Placements with an amount were left as they are", left);
        Assert.Contains("name=\"Lines[0].Lot\" value=\"D-114\"", left);
        Assert.DoesNotContain("value=\"JawBody\" selected", left);
    }

    [Theory]
    [InlineData("(17)310630(10)d114")]
    [InlineData("(17)310630(10)D-115")]
    [InlineData("1731063010D-11421S77")]
    public async Task Of_a_line_with_a_lot_typed_and_a_scan_the_lot_typed_alone_goes_to_what_was_drawn_up(string scan)
    {
        var html = await desk.GetStringAsync(Form);
        var pressed = await Words(await Post(desk, Form + "?handler=Stopped", html, [.. Day, ("Lines[0].Region", "JawBody"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].Lot", "D-114"), ("Lines[0].Scan", scan)]));
        Assert.Contains("name=\"Drawn[0].Lot\" value=\"D-114\"", pressed);
        Assert.DoesNotMatch("name=\"Drawn\\[1\\]\\.Lot\" value=\"[^\"]", pressed);
    }

    [Fact]
    public async Task No_texts_follow_from_it_and_those_of_an_earlier_treatment_go_on()
    {
        await Sign([.. Day, .. Placed("D-114")]);
        await Hours(1);
        var before = await Steps();
        Assert.Contains(before, s => s.State is StepState.Planned);
        var record = await Sign([.. Day, ("Events", Fainted)]);
        await RunDue();
        Assert.Equal(before.Select(s => (s.Id, s.State)), (await Steps()).Select(s => (s.Id, s.State)));

        await Send(desk, record, ("Text", "It was yesterday."), ("RightDay", "2031-05-13"));             // an addendum plans anew
        await RunDue();
        Assert.Equal(before.Where(s => s.State is StepState.Planned).Select(s => (s.StepId, s.DueAt)), (await Steps()).Where(s => s.State is StepState.Planned).Select(s => (s.StepId, s.DueAt)));
        Assert.All(await Steps(), s => Assert.NotEqual(record, $"/Treatment/{s.TreatmentId}"));
    }

    [Fact]
    public async Task A_treatment_after_it_has_its_own_texts_and_touches_nothing_up()
    {
        var record = await Sign([.. Day, ("Events", Fainted)]);
        Assert.DoesNotContain("Touch-up of", await desk.GetStringAsync(Form));
        var refused = await Send(desk, Form, [.. Day, ("TouchUpOf", record.Split('/')[^1]), .. Placed("D-114")]);
        Assert.Contains("choose the treatment of this patient it belongs to", await Words(refused));
        await Sign([.. Day, .. Placed("D-114")]);
        await RunDue();
        Assert.Contains(await Steps(), s => s.State is StepState.Planned);
    }

    [Fact]
    public async Task Whoever_is_on_call_reads_that_it_was_stopped_and_what_happened_beside_what_was_placed_before()
    {
        await Sign([("TreatedOn", "2030-05-14"), ("NoConsent", "OnPaper"), .. Placed("D-OLD")]);
        await Sign([.. Day, ("Events", Fainted)]);
        var report = await InDatabase(async db =>
        {
            var row = new EscalationRow { ClinicId = clinic, PatientId = mira, Number = "+12125550151", Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = portal.Clock.GetCurrentInstant(), WrittenAt = portal.Clock.GetCurrentInstant(), OpenKey = "shown" };
            db.Add(row);
            await db.SaveChangesAsync();
            return $"/Escalations/{row.Id}";
        });
        var page = WebUtility.HtmlDecode(await desk.GetStringAsync(report));
        Assert.Contains("Stopped before anything was placed.", page);
        Assert.Contains("What happened then: " + Fainted, page);
        Assert.Contains("D-OLD", page);                                                // the latest that placed something, whatever its age
    }

    [Fact]
    public async Task What_was_drawn_up_is_found_by_its_lot_and_stands_on_the_papers()
    {
        var record = await Sign([.. Day, ("Events", Fainted), .. Drawn("0.75")]);
        var found = await Words(await Send(desk, "/Treatment/Lots", ("Typed", "d114")));
        Assert.Contains("it was drawn up, and no placement of it is written", found);
        Assert.Contains(record, found);
        var page = WebUtility.HtmlDecode(await desk.GetStringAsync(record));
        Assert.Contains("Stopped before anything was placed.", page);
        Assert.Contains("0.75 mL drawn up", page);
        Assert.Contains("Stopped before anything was placed", await desk.GetStringAsync($"/Patients/{mira}"));
        foreach (var (language, nothing, texts) in new[] { ("en", "Nothing was placed", "This visit starts no texts"), ("es", "No se le puso nada", "Esta visita no inicia mensajes") })
        {
            var sheet = WebUtility.HtmlDecode(await desk.GetStringAsync($"{record}/SheetPage?language={language}"));
            Assert.Contains(nothing, sheet);
            Assert.Contains(texts, sheet);
        }

        foreach (var (paper, says) in new[] { ("Pdf", "None: the treatment was stopped before"), ("AdverseEvent", "Drawn up, not placed: CaHA filler, lot D-114") })
        {
            using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await desk.GetByteArrayAsync($"{record}/{paper}")), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
            Assert.Contains(says, string.Concat(file.Pages.Cast<PdfSharp.Pdf.PdfPage>().Select(p => System.Text.Encoding.Latin1.GetString(p.Contents.CreateSingleContent().Stream.UnfilteredValue))));
        }

        foreach (var paper in new[] { "Pdf", "Sheet", "AdverseEvent" }) Assert.Equal("application/pdf", (await desk.GetAsync($"{record}/{paper}")).Content.Headers.ContentType!.MediaType);
    }

    [Fact]
    public async Task It_teaches_the_price_range_nothing_and_the_next_visit_is_the_first_of_the_course()
    {
        var course = new Course_of(portal, clinic, desk, "Ada Quill", 1);
        await course.Quoted(["jaw-body"]);
        await course.Invited();
        Assert.Equal(HttpStatusCode.Redirect, (await Send(desk, $"/Treatment/Record/{course.PatientId}", [.. Day, ("Events", Fainted), .. Drawn("0.75")])).StatusCode);
        await RunDue();
        Assert.Empty(await InDatabase(db => db.ClinicFigures.Where(f => f.Cases > 0).ToListAsync()));
        await Hours(24);                                                               // records of one day count as one visit
        await course.Treated(desk, "CaHA filler", ("JawBody", "Left", 0.60), ("JawBody", "Right", 0.60));
        await RunDue();
        Assert.Equal(1, (await InDatabase(db => db.ClinicFigures.OrderBy(f => f.Number).LastAsync())).Cases);
    }

    private string Form => $"/Treatment/Record/{mira}";

    private static (string, string)[] Day => [("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper")];

    private static (string, string)[] Drawn(string ml) => [("Drawn[0].Product", "CaHA filler"), ("Drawn[0].Lot", "D-114"), ("Drawn[0].Amount", ml)];

    private static (string, string)[] Placed(string lot) =>
    [
        ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"), ("Lines[0].Lot", lot),
        ("Lines[0].Expiry", "2031-06-30"), ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"),
    ];

    private static async Task<string> Words(HttpResponseMessage answer) => WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());

    private async Task<string> Sign((string, string)[] typed)
    {
        var signed = await Send(desk, Form, typed);
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
        return signed.Headers.Location!.OriginalString;
    }

    private Task RunDue() => portal.Parts.GetRequiredService<JobRunner>().RunDue();

    private async Task Hours(int hours)
    {
        await RunDue();
        portal.Clock.Advance(TimeSpan.FromHours(hours));
        await RunDue();
        desk = await portal.SignedIn(clinic, $"mara{++sessions}");
    }

    private Task<List<StepRow>> Steps() => InDatabase(db => db.Steps.AsNoTracking().OrderBy(s => s.DueAt).ThenBy(s => s.Id).ToListAsync());

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }
}
