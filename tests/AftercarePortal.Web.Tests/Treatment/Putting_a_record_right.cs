using System.Net;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Treatment;

/// <summary>A record that names the wrong patient, class, side, lot or day, in a clinic on New York's clock.</summary>
public sealed class Putting_a_record_right : IAsyncLifetime
{
    private static readonly string[] Carrier = ["--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9"];
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, mira;
    private int sessions;

    public async Task InitializeAsync()
    {
        portal = await Open(Carrier);
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        mira = await Patient("Mira Example", "+12125550151");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    [Fact]
    public async Task A_record_of_the_wrong_patient_sends_her_nothing_more_and_the_plan_it_took_over_runs_again()
    {
        await Treat(mira, "2031-05-14");
        await Hours(20);
        await InDatabase(db => db.Outgoing.ExecuteUpdateAsync(set => set.SetProperty(o => o.State, OutgoingState.Accepted)));
        var wrong = await Treat(mira, "2031-05-15", ("Product", "botulinum toxin type A"), ("ProductName", "Demo toxin"), ("Amount", "4"));
        await Hours(1);
        var mine = (await Steps()).Where(s => s.State is StepState.TakenOver).Select(s => (s.StepId, s.DueAt)).ToList();
        Assert.NotEmpty(mine);

        await Add(wrong, ("Text", "This was Jonas."), ("Standing", "WrongPatient"));
        await Hours(1);

        var steps = await Steps();
        Assert.DoesNotContain(steps, s => s.State is StepState.Planned && s.From.StartsWith("botulinum", StringComparison.Ordinal));
        Assert.Equal(mine.Where(m => m.DueAt > Now).Order(), steps.Where(s => s.State is StepState.Planned).Select(s => (s.StepId, s.DueAt)).Order());
        Assert.All(steps.Where(s => s.State is StepState.Withdrawn), s => Assert.Equal("the record does not hold", s.Reason));
        await Hours(24 * 16);
        Assert.All((await Steps()).Where(s => s.State is StepState.Sent).GroupBy(s => (s.From, s.StepId)), again => Assert.Single(again));
        Assert.Contains("written for the wrong patient", await desk.GetStringAsync(wrong));
    }

    [Fact]
    public async Task A_record_that_does_not_hold_is_no_treatment_for_a_report_a_touch_up_or_a_plan()
    {
        var wrong = await Treat(mira, "2031-05-14", ("Lot", "WRONG-1"));
        await Hours(1);
        var report = await Report(mira);
        Assert.Contains("WRONG-1", await desk.GetStringAsync(report));
        await Add(wrong, ("Text", "Nothing was injected, she fainted before."), ("Standing", "NotGiven"));
        await Hours(1);
        Assert.DoesNotContain("WRONG-1", await desk.GetStringAsync(report));
        Assert.DoesNotContain("Touch-up of", await desk.GetStringAsync($"/Treatment/Record/{mira}"));
        Assert.DoesNotContain(await Steps(), s => s.State is StepState.Planned);
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync(wrong + "/SheetPage")).StatusCode);

        await Add(wrong, ("Text", "She was treated after all."), ("Standing", "Holds"));
        await Hours(1);
        Assert.Contains("WRONG-1", await desk.GetStringAsync(report));
        Assert.Contains(await Steps(), s => s.State is StepState.Planned);
    }

    [Fact]
    public async Task A_record_of_which_every_amount_is_put_right_to_nothing_asks_for_no_texts()
    {
        var record = await Treat(mira, "2031-05-14");
        await Hours(1);
        await Add(record, ("Text", "Not placed."), ("Corrects", "1"), ("RightAmount", "0"));
        await Hours(1);
        Assert.DoesNotContain(await Steps(), s => s.State is StepState.Planned);
        Assert.Contains("nothing of this record was given", await desk.GetStringAsync(record));
    }

    [Fact]
    public async Task A_class_put_right_changes_the_texts_and_what_a_report_shows()
    {
        var record = await Treat(mira, "2031-05-14", ("Product", "botulinum toxin type A"), ("ProductName", "Demo toxin"), ("Amount", "4"));
        await Hours(4);
        await Add(record, ("Text", "Wrong line of the list."), ("Corrects", "1"), ("RightClass", "CaHA filler"), ("RightProduct", "Demo CaHA 1.5 mL"), ("RightAmount", "0.40"), ("RightSide", "Right"));
        await Hours(1);
        Assert.All((await Steps()).Where(s => s.State is StepState.Planned), s => Assert.StartsWith("caha-filler", s.From));
        Assert.Contains(await Steps(), s => s.State is StepState.Planned);
        await Hours(12);
        Assert.Contains((await Texts()).TakeLast(2), t => t.Text.Contains("blotchy", StringComparison.Ordinal) || t.Text.Contains("white", StringComparison.Ordinal));
        var report = WebUtility.HtmlDecode(await desk.GetStringAsync(await Report(mira)));
        Assert.Contains("Demo CaHA 1.5 mL (CaHA filler)", report);
        Assert.Contains("jaw angle, right", report);
        Assert.Contains("0.40 mL", report);
    }

    [Fact]
    public async Task A_day_put_right_moves_the_texts()
    {
        await Hours(48);
        var record = await Treat(mira, "2031-05-16");
        await Hours(6);
        var before = (await Steps()).Where(s => s.State is StepState.Planned).ToDictionary(s => s.StepId, s => s.DueAt);
        await Add(record, ("Text", "Treated two days ago."), ("RightDay", "2031-05-14"));
        await Hours(1);
        var after = (await Steps()).Where(s => s.State is StepState.Planned).ToList();
        Assert.NotEmpty(after);
        Assert.All(after, s => Assert.Equal(before[s.StepId] - Duration.FromDays(2), s.DueAt));
        Assert.Contains("put right by an addendum: 14 May 2031", await desk.GetStringAsync(record));
    }

    [Fact]
    public async Task A_side_put_right_leaves_the_texts_as_they_are()
    {
        var record = await Treat(mira, "2031-05-14");
        await Hours(1);
        var before = (await Steps()).Select(s => (s.Id, s.State)).ToList();
        await Add(record, ("Text", "Mirrored."), ("Corrects", "1"), ("RightSide", "Right"));
        await Hours(0);
        Assert.Equal(before, (await Steps()).Select(s => (s.Id, s.State)));
        Assert.Contains("jaw angle, left: side left should read right.", WebUtility.HtmlDecode(await desk.GetStringAsync(record)));
    }

    [Fact]
    public async Task An_addendum_typed_before_somebody_elses_was_seen_waits_until_that_was_shown_and_loses_nothing()
    {
        var record = await Treat(mira, "2031-05-14");
        var open = await desk.GetStringAsync(record);
        Assert.Equal(HttpStatusCode.Redirect, (await Send(await portal.SignedIn(clinic, "jonas"), record, ("Text", "She fainted afterwards."), ("Corrects", "1"), ("RightAmount", "0.30"))).StatusCode);
        (string, string)[] mine = [("Text", "The lot was read wrongly."), ("Corrects", "1"), ("RightLot", "D-999")];
        var asked = await (await Post(desk, record, open, mine)).Content.ReadAsStringAsync();
        Assert.Matches("(?s)She fainted afterwards.*Not added yet: Dr jonas has added to this record since you opened this page. Look at it above", asked);
        Assert.Contains(">The lot was read wrongly.</textarea>", asked);
        Assert.Contains("value=\"D-999\"", asked);
        Assert.Equal(1, await InDatabase(db => db.Addenda.CountAsync()));
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, record, asked, mine)).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, record, asked, mine)).StatusCode);   // the same tap twice
        Assert.Equal(2, await InDatabase(db => db.Addenda.CountAsync()));
    }

    [Fact]
    public async Task A_correction_sent_twice_is_added_once_and_plans_once()
    {
        var record = await Treat(mira, "2031-05-14");
        await Hours(1);
        var page = await desk.GetStringAsync(record);
        foreach (var _ in new[] { 1, 2 })
            Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, record, page, ("Text", "Entered twice."), ("Standing", "EnteredTwice"))).StatusCode);
        Assert.Equal(1, await InDatabase(db => db.Addenda.CountAsync()));
        Assert.Equal(1, await InDatabase(db => db.Jobs.CountAsync(j => j.Kind == "plan-aftercare-anew")));
    }

    [Theory]
    [InlineData("Corrects=1&RightLot=D-114", "stands already")]
    [InlineData("RightLot=D-115", "choose the placement")]
    [InlineData("Corrects=1&RightClass=HA filler", "give the product")]
    [InlineData("Corrects=1&RightClass=botulinum toxin type A&RightProduct=Demo toxin", "choose the placement and give 0 to")]
    [InlineData("Corrects=1&RightRegion=Platysma", "botulinum toxin type A only")]
    [InlineData("Corrects=1&RightSide=Wrong", "from their lists")]
    [InlineData("Corrects=1&RightExpiry=soon", "is a date")]
    [InlineData("RightDay=2031-05-15", "up to today")]
    [InlineData("RightDay=2031-05-14", "stands already")]
    [InlineData("Standing=Holds", "stands already")]
    public async Task What_puts_nothing_right_is_refused_with_its_reason_and_keeps_what_was_typed(string typed, string reason)
    {
        var record = await Treat(mira, "2031-05-14");
        (string, string)[] fields = [("Text", "My words."), .. typed.Split('&').Select(f => (f.Split('=')[0], f.Split('=')[1]))];
        var page = WebUtility.HtmlDecode(await (await Send(desk, record, fields)).Content.ReadAsStringAsync());
        Assert.Contains(reason, page);
        Assert.Contains("My words.", page);
        Assert.Equal(0, await InDatabase(db => db.Addenda.CountAsync()));
    }

    [Fact]
    public async Task A_lot_put_right_is_found_and_the_wrong_one_is_named_but_not_counted()
    {
        var record = await Treat(mira, "2031-05-14");
        await Add(record, ("Text", "Read off the wrong box."), ("Corrects", "1"), ("RightLot", "d 115"), ("RightExpiry", "2031-07-31"));
        var right = await Find("D-115");
        Assert.Contains("Lot D-115: 1 patient", right);
        Assert.Contains("jaw angle, left, 0.35 mL, Demo CaHA 1.5 mL, lot d 115", right);
        var wrong = await Find("D-114");
        Assert.Contains("Lot D-114: 0 patients", wrong);
        Assert.Contains($"<a href=\"{record}\">Mira Example</a>: an addendum put the lot or the amount right", wrong);
    }

    [Fact]
    public async Task A_lot_of_a_record_that_does_not_hold_is_named_but_not_counted()
    {
        var record = await Treat(mira, "2031-05-14");
        await Treat(await Patient("Jonas Example", "+12125550152"), "2031-05-14");
        await Add(record, ("Text", "This was Jonas."), ("Standing", "WrongPatient"));
        var found = await Find("D-114");
        Assert.Contains("Lot D-114: 1 patient", found);
        Assert.Contains($"<a href=\"{record}\">Mira Example</a>: the record does not hold", found);
    }

    [Fact]
    public async Task The_sheet_shows_what_is_right()
    {
        var record = await Treat(mira, "2031-05-14");
        await Add(record, ("Text", "Mirrored, and less."), ("Corrects", "1"), ("RightSide", "Right"), ("RightAmount", "0.20"), ("RightLot", "D-115"));
        var sheet = await desk.GetStringAsync(record + "/SheetPage");
        Assert.Contains("1. jaw angle, right: CaHA filler, 0.20 mL (Demo CaHA 1.5 mL).", sheet);
        Assert.Contains("D-115", sheet);
        Assert.DoesNotContain("D-114", sheet);
    }

    [Fact]
    public async Task The_totals_and_what_was_planned_follow_what_is_right()
    {
        var record = await Treat(mira, "2031-05-14");
        await Add(record, ("Text", "Less."), ("Corrects", "1"), ("RightAmount", "0.20"));
        Assert.Contains("0.20 mL placed", await desk.GetStringAsync(record));
    }

    private async Task<string> Find(string lot) => await (await Send(desk, "/Treatment/Lots", ("Typed", lot))).Content.ReadAsStringAsync();

    private Instant Now => portal.Clock.GetCurrentInstant();

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private Task<Guid> Patient(string name, string number) => InDatabase(async db =>
    {
        var patient = new PatientRow { Name = name, Number = number, AgreedToTextsAt = Now };
        db.Add(patient);
        await db.SaveChangesAsync();
        return patient.Id;
    });

    private async Task<string> Treat(Guid patient, string day, params (string, string)[] changes)
    {
        var line = new Dictionary<string, string>
        {
            ["Region"] = "JawAngle", ["Side"] = "Left", ["Product"] = "CaHA filler", ["ProductName"] = "Demo CaHA 1.5 mL", ["Lot"] = "D-114",
            ["Expiry"] = "2031-06-30", ["Amount"] = "0.35", ["Plane"] = "Supraperiosteal", ["Device"] = "25 G cannula",
        };
        foreach (var (name, value) in changes) line[name] = value;
        var signed = await Send(desk, $"/Treatment/Record/{patient}", [("TreatedOn", day), ("NoConsent", "OnPaper"), .. line.Select(l => ($"Lines[0].{l.Key}", l.Value))]);
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
        return signed.Headers.Location!.OriginalString;
    }

    private async Task Add(string record, params (string, string)[] typed) => Assert.Equal(HttpStatusCode.Redirect, (await Send(desk, record, typed)).StatusCode);

    private async Task Hours(int hours)
    {
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        for (var hour = 0; hour < hours; hour++)
        {
            portal.Clock.Advance(TimeSpan.FromHours(1));
            await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        }

        if (hours > 0) desk = await portal.SignedIn(clinic, $"mara{++sessions}");   // a session ends after a quarter of an hour
    }

    private Task<List<StepRow>> Steps() => InDatabase(db => db.Steps.AsNoTracking().OrderBy(s => s.DueAt).ThenBy(s => s.Id).ToListAsync());

    private Task<List<OutgoingRow>> Texts() => InDatabase(db => db.Outgoing.AsNoTracking().Where(o => o.Kind == OutgoingKind.Step).OrderBy(o => o.MadeAt).ToListAsync());

    private Task<string> Report(Guid patient) => InDatabase(async db =>
    {
        var report = new EscalationRow { ClinicId = clinic, PatientId = patient, Number = "+12125550151", Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = Now, WrittenAt = Now, OpenKey = "shown" };
        db.Add(report);
        await db.SaveChangesAsync();
        return $"/Escalations/{report.Id}";
    });
}
