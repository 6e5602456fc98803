using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Aftercare;

/// <summary>CaHA filler and botulinum toxin type A, signed at 18:40 on the clinic's wall clock in New York.</summary>
public sealed class Aftercare_by_text : IAsyncLifetime
{
    private static readonly DateTimeZone Zone = DateTimeZoneProviders.Tzdb["America/New_York"];
    private readonly Listening_portal _portal = new();

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Signing_makes_a_plan_whose_every_text_is_sent_outside_quiet_hours_and_never_two_within_an_hour()
    {
        await Sign();
        await LiveThrough(days: 16);

        var steps = await _portal.Read(db => db.Steps.Where(s => s.State != StepState.LeftOut && s.DueAt <= _portal.Time.GetCurrentInstant()).OrderBy(s => s.DueAt).ToListAsync());
        Assert.True(steps.Count >= 8, $"{steps.Count} steps");
        Assert.All(steps, s => Assert.Equal(StepState.Sent, s.State));
        var sent = await Sent();
        Assert.Equal(steps.Count, sent.Count);
        Assert.All(sent, o => Assert.InRange(o.MadeAt.InZone(Zone).TimeOfDay, new LocalTime(8, 0), new LocalTime(21, 0)));
        Assert.All(sent.Zip(sent.Skip(1)), pair => Assert.True(pair.Second.MadeAt - pair.First.MadeAt >= Duration.FromHours(1)));
        Assert.All(sent, o => Assert.Contains("911", o.Text));
    }

    [Theory]
    [InlineData("en", "(?i)blotchy skin.*call 911", "alcohol.*eyes")]
    [InlineData("es", "(?i)piel blanca.*: 911", "alcohol.*ojos")]
    public async Task Treated_at_nine_in_the_morning_a_patient_has_the_warning_signs_at_once_and_the_advice_of_the_day_that_evening(string language, string signs, string advice)
    {
        _portal.Time.Advance(TimeSpan.FromMinutes((14 * 60) + 20));                 // from 18:40 to 9:00
        await Sign(toxin: false, language: language);
        await Watched(minutes: 20, until: 13 * 60);

        var sent = await Sent();
        Assert.Equal([(9, 0), (18, 0), (19, 20), (20, 40)], sent.Select(o => (o.MadeAt.InZone(Zone).Hour, o.MadeAt.InZone(Zone).Minute)));
        Assert.All(sent[..2], o => Assert.Matches(signs, o.Text));
        Assert.Matches(advice, sent[2].Text);
        Assert.All(sent, o => Assert.True(Web.ContentFiles.SmsLength.IsOnePart(o.Text)));
    }

    [Fact]
    public async Task Signed_in_the_afternoon_the_warning_list_goes_out_once_and_is_not_doubled_at_six()
    {
        _portal.Time.Advance(TimeSpan.FromMinutes((22 * 60) + 50));                 // from 18:40 to 17:30
        await Sign();
        await Watched(minutes: 10, until: 3 * 60);
        Assert.Equal([17, 19, 20], (await Sent()).Select(o => o.MadeAt.InZone(Zone).Hour));
        Assert.Contains(await _portal.Read(db => db.Steps.ToListAsync()), s => s is { StepId: "warning-day-0", State: StepState.LeftOut, Reason: "said a short time before" });
    }

    [Fact]
    public async Task A_plan_asked_for_twice_is_made_once()
    {
        var treatment = await Sign();
        await _portal.RunJobs();
        var before = await _portal.Read(db => db.Steps.CountAsync());
        await _portal.Read(async db => { db.Enqueue(SignRecord.PlanAftercare, treatment.ToString(), _portal.Time.GetCurrentInstant()); return await db.SaveChangesAsync(); });
        await _portal.RunJobs();
        Assert.Equal(before, await _portal.Read(db => db.Steps.CountAsync()));
    }

    [Fact]
    public async Task After_a_STOP_no_step_is_sent()
    {
        await Sign();
        await _portal.Deliver("SM1", "STOP");
        await LiveThrough(days: 16);
        Assert.Empty(await Sent());
        Assert.All(await _portal.Read(db => db.Steps.Where(s => s.State != StepState.LeftOut && s.DueAt <= _portal.Time.GetCurrentInstant()).ToListAsync()), s => Assert.Equal(StepState.Stopped, s.State));
    }

    [Fact]
    public async Task Without_the_patients_agreement_no_step_is_sent()
    {
        await Sign(agreed: false);
        await LiveThrough(days: 3);
        Assert.Empty(await Sent());
    }

    [Fact]
    public async Task While_an_urgent_report_is_open_the_steps_wait()
    {
        await Sign();
        await _portal.Deliver("SM1", "my skin has gone white and cold where you injected and it is getting worse");
        await LiveThrough(days: 2);
        Assert.Empty(await Sent());
        Assert.NotEmpty(await _portal.Read(db => db.Steps.Where(s => s.State == StepState.Planned).ToListAsync()));
    }

    [Fact]
    public async Task After_a_day_without_the_portal_no_tip_comes_late_and_no_two_texts_come_at_once()
    {
        await Sign();
        await _portal.RunJobs();
        Assert.Single(await Sent());                                             // what was due before signing comes down to one warning
        _portal.Time.Advance(TimeSpan.FromHours(44));                            // 14:40 on day 2
        await _portal.RunJobs();
        Assert.Equal(2, (await Sent()).Count);
        Assert.Contains(await _portal.Read(db => db.Steps.ToListAsync()), s => s.State is StepState.Merged or StepState.TooLate);
    }

    [Fact]
    public async Task While_a_same_day_report_is_open_texts_that_name_warning_signs_still_go_and_tips_and_visits_wait()
    {
        await Sign(toxin: false);
        await LiveThrough(days: 8, hours: 4);
        var before = (await Sent()).Count;
        await _portal.Deliver("SM1", "is this normal?");
        await LiveThrough(days: 20, hours: 4);
        Assert.Equal(Tier.SameDay, (await _portal.Read(db => db.Escalations.SingleAsync())).Tier);
        var steps = await _portal.Read(db => db.Steps.ToListAsync());
        Assert.True((await Sent()).Count > before);
        var late = steps.Where(s => s.StateAt > _portal.Time.GetCurrentInstant() - Duration.FromDays(19)).ToList();
        Assert.Contains(late, s => s is { State: StepState.Sent, Kind: StepKind.CheckIn or StepKind.Safety });
        Assert.DoesNotContain(late, s => s is { State: StepState.Sent, Kind: StepKind.Tip or StepKind.Appointment });
    }

    [Fact]
    public void A_tier_the_rules_do_not_speak_of_holds_everything()
    {
        var rules = Web.ContentFiles.ContentLibrary.Load(Web.ContentFiles.ContentLibrary.Folder).Aftercare.Rules;
        Assert.All(Enum.GetValues<StepKind>(), kind => Assert.True(rules.Holds(kind, [Tier.SameDay, Tier.Emergency])));
        Assert.All(Enum.GetValues<StepKind>(), kind => Assert.True((rules with { Held = new Dictionary<Tier, IReadOnlyList<StepKind>>() }).Holds(kind, [Tier.Routine])));
        Assert.All(Enum.GetValues<StepKind>(), kind => Assert.False(rules.Holds(kind, [])));
    }

    [Fact]
    public async Task A_second_treatment_takes_over_and_no_step_stays_open_twice()
    {
        var first = await Sign(toxin: false);
        await LiveThrough(days: 7);
        var second = await Sign(filler: false);
        await LiveThrough(days: 9);

        var steps = await _portal.Read(db => db.Steps.ToListAsync());
        Assert.DoesNotContain(steps, s => s.TreatmentId == first && s.State is StepState.Planned);
        Assert.All(steps.Where(s => s.State is StepState.TakenOver), s => Assert.Equal(("a later treatment", first), (s.Reason, s.TreatmentId)));
        Assert.Contains(steps, s => s is { StepId: "photo-day-180", From: "caha-filler.v1", State: StepState.Planned } && s.TreatmentId == second);
        var sent = await Sent();
        Assert.All(sent.Zip(sent.Skip(1)), pair => Assert.True(pair.Second.MadeAt - pair.First.MadeAt >= Duration.FromHours(1)));
        Assert.Contains(sent, o => o.Text.Contains("weak voice", StringComparison.Ordinal) && o.Text.Contains("grey skin", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Is_written_in_the_language_of_the_patient()
    {
        await Sign(language: "es");
        await LiveThrough(days: 3);
        Assert.All(await Sent(), o => Assert.Matches("(?i)ojos, aire, habla, tragar(, cara debil)?: 911\\.$", o.Text));
        Assert.NotEmpty(await Sent());
    }

    private Task LiveThrough(int days, int hours = 1) => Watched(minutes: hours * 60, until: days * 24 * 60);

    private async Task Watched(int minutes, int until)
    {
        await _portal.RunJobs();
        for (var passed = 0; passed < until; passed += minutes)
        {
            _portal.Time.Advance(TimeSpan.FromMinutes(minutes));
            await _portal.RunJobs();
        }
    }

    private Task<List<OutgoingRow>> Sent() =>
        _portal.Read(db => db.Outgoing.Where(o => o.Kind == OutgoingKind.Step).OrderBy(o => o.MadeAt).ToListAsync());

    private Task<Guid> Sign(bool agreed = true, bool filler = true, bool toxin = true, string language = "en") => _portal.Read(async db =>
    {
        var now = _portal.Time.GetCurrentInstant();
        var patient = await db.Patients.SingleOrDefaultAsync(p => p.Number == Listening_portal.Patient);
        if (patient is null) db.Add(patient = new PatientRow { Name = "Mira Sand", Number = Listening_portal.Patient, AgreedToTextsAt = agreed ? now : null, Language = language });
        PlacementRow[] placed =
        [
            Placed(1, Region.JawAngle, ProductClass.CaHAFiller, hundredthsMl: 75, tenthsUnits: null),
            Placed(2, Region.Platysma, ProductClass.BotulinumToxinTypeA, hundredthsMl: null, tenthsUnits: 40),
        ];
        var treatment = new TreatmentRow
        {
            Id = Guid.CreateVersion7(), PatientId = patient.Id, Number = await db.Treatments.CountAsync() + 1, TreatedOn = now.InZone(Zone).Date, SignedBy = "Iris Hale", SignedAt = now,
            Placements = [.. placed.Where(p => p.ProductClass is ProductClass.CaHAFiller ? filler : toxin)],
        };
        db.Add(treatment);
        db.Enqueue(SignRecord.PlanAftercare, treatment.Id.ToString(), now, lane: 9);
        await db.SaveChangesAsync();
        return treatment.Id;
    });

    private static PlacementRow Placed(int ordinal, Region region, ProductClass product, int? hundredthsMl, int? tenthsUnits) => new()
    {
        Ordinal = ordinal, Region = region, Side = Side.Left, ProductClass = product, ProductName = $"Demo {product.Name()}", Lot = "DEMO-0417",
        Expiry = new(2028, 6, 30), HundredthsMl = hundredthsMl, TenthsUnits = tenthsUnits, Plane = Plane.Subcutaneous, Device = "30 G needle",
    };
}
