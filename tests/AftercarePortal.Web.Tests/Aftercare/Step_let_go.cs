using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
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

/// <summary>The text of day 3, due at 09:30 in New York and let go, and the carrier is busy: what happens before it goes counts.</summary>
public sealed class Step_let_go : IAsyncLifetime
{
    private static readonly DateTimeZone Zone = DateTimeZoneProviders.Tzdb["America/New_York"];
    private static readonly LocalDate Treated = new(2026, 11, 24);
    private readonly Listening_portal _portal = new();

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Goes_when_the_carrier_takes_it()
    {
        await LetGo();
        await Wait(Duration.FromSeconds(31));
        Assert.StartsWith("Day 3: ", Assert.Single(Texts()));
    }

    [Fact]
    public async Task Is_held_by_a_report_that_comes_first_and_goes_when_it_is_closed_in_time()
    {
        await LetGo();
        await Report();
        await Wait(Duration.FromSeconds(31));
        Assert.Empty(Texts());
        await CloseReport();
        await Wait(Duration.FromHours(2));
        Assert.Single(Texts());
    }

    [Fact]
    public async Task Is_held_back_by_a_STOP()
    {
        await LetGo();
        await _portal.Deliver("SMstop", "STOP");
        await Wait(Duration.FromSeconds(31));
        Assert.Empty(Texts());
        Assert.Equal((StepState.Stopped, OutgoingState.HeldBack), await Standing());
    }

    [Fact]
    public async Task Goes_to_the_number_that_was_put_right_meanwhile_and_never_to_the_old_one()
    {
        await LetGo();
        await _portal.Deliver("SMstop", "STOP");                                    // from whoever has the old number
        await _portal.Read(async db =>
        {
            var (patient, save) = (await db.Patients.AsNoTracking().SingleAsync(), new SavePatient(db, new ReportsGoAlong(db), _portal.Time));
            return Assert.IsType<SavePatient.Outcome.Saved>(await save.Run(patient.Id, default, patient.Mark(), patient.Name, "+12025550124", true, "en", "Iris Hale", default, agreedFor: "+12025550124"));
        });
        await Wait(Duration.FromSeconds(31));
        Assert.Empty(Texts());
        Assert.StartsWith("Day 3: ", Assert.Single(_portal.Carrier.Lines, l => l.To == "+12025550124").Text);
    }

    [Fact]
    public async Task Is_too_late_after_an_outage_longer_than_its_file_allows()
    {
        await LetGo(then: MissedAction.Skip);
        await Wait(Duration.FromHours(7));
        Assert.Empty(Texts());
        Assert.Equal((StepState.TooLate, OutgoingState.HeldBack), await Standing());
    }

    [Fact]
    public async Task Is_taken_over_by_the_plan_of_a_treatment_signed_meanwhile()
    {
        await LetGo();
        await _portal.Read(async db =>
        {
            var (patient, now) = (await db.Patients.SingleAsync(), _portal.Time.GetCurrentInstant());
            var treatment = new TreatmentRow
            {
                Id = Guid.CreateVersion7(), PatientId = patient.Id, Number = 1, TreatedOn = now.InZone(Zone).Date, SignedBy = "Iris Hale", SignedAt = now,
                Placements =
                [
                    new PlacementRow
                    {
                        Ordinal = 1, Region = Region.JawAngle, Side = Side.Left, ProductClass = ProductClass.HAFiller, ProductName = "Demo HA", Lot = "DEMO-0417", Expiry = new(2028, 6, 30),
                        HundredthsMl = 75, Plane = Plane.Subcutaneous, Device = "30 G needle",
                    },
                ],
            };
            db.Add(treatment);
            db.Enqueue(SignRecord.PlanAftercare, treatment.Id.ToString(), now, lane: 9);
            return await db.SaveChangesAsync();
        });
        await Wait(Duration.FromSeconds(31));
        Assert.Empty(Texts());
        Assert.Equal((StepState.TakenOver, OutgoingState.HeldBack), await Standing());
    }

    [Fact]
    public async Task Names_the_day_it_goes_out_when_a_report_held_it_for_days()
    {
        await Report();
        await LetGo(busy: false);
        await Wait(Duration.FromHours(46));
        await CloseReport();
        await Wait(Duration.FromHours(2));
        Assert.StartsWith("Day 5: ", Assert.Single(Texts()));
    }

    [Fact]
    public async Task Names_the_day_it_goes_out_when_the_carrier_took_nothing_until_the_next_morning()
    {
        await LetGo(within: 48);
        await Wait(Duration.FromHours(24));
        Assert.StartsWith("Day 4: ", Assert.Single(Texts()));
    }

    private async Task LetGo(MissedAction then = MissedAction.Merge, int within = 6, bool busy = true)
    {
        var due = Treated.PlusDays(3).At(new LocalTime(9, 30)).InZoneStrictly(Zone).ToInstant();
        await _portal.Read(async db =>
        {
            var patient = new PatientRow { Name = "Mira Sand", Number = Listening_portal.Patient, AgreedToTextsAt = _portal.Time.GetCurrentInstant() };
            var step = new StepRow
            {
                ClinicId = Listening_portal.Clinic, TreatmentId = Guid.NewGuid(), PatientId = patient.Id, StepId = "check-day-3", From = "caha-filler.v1", Kind = StepKind.CheckIn,
                TextId = "aftercare-filler-day-3", Day = 3, DueAt = due, MissedWithinHours = within, MissedThen = then, State = StepState.Planned, StateAt = _portal.Time.GetCurrentInstant(),
            };
            db.AddRange(patient, step);
            db.Enqueue(PlanAftercare.SendStep, step.Id.ToString(), due, lane: 9);
            return await db.SaveChangesAsync();
        });
        if (busy) _portal.Carrier.NextFaults.Enqueue(429);
        await Wait(due - _portal.Time.GetCurrentInstant());
        if (busy) Assert.Equal((StepState.Sent, OutgoingState.Pending), await Standing());
    }

    private async Task Report()
    {
        await _portal.Deliver("SMwhite", "my skin has gone white and cold where you injected and it is getting worse");
        await _portal.RunJobs();
    }

    private Task<int> CloseReport() => _portal.Read(async db =>
    {
        var report = await db.Escalations.AsNoTracking().SingleAsync();
        await new TakeEscalation(db, _portal.Time).Run(report.Id, "Iris Hale", 0, default);
        Assert.IsType<CloseEscalation.Outcome.Closed>(await new CloseEscalation(db, _portal.Time).Run(report.Id, "Iris Hale", "seen", 1, default));
        return 0;
    });

    private Task<(StepState, OutgoingState)> Standing() => _portal.Read(async db =>
    {
        var step = await db.Steps.SingleAsync(s => s.StepId == "check-day-3" && s.Day == 3 && s.From == "caha-filler.v1");
        return (step.State, await db.Outgoing.Where(o => o.Key == $"step:{step.Id}").Select(o => o.State).SingleAsync());
    });

    private List<string> Texts() => [.. _portal.Carrier.Lines.Where(l => l.To == Listening_portal.Patient && l.Text.StartsWith("Day ", StringComparison.Ordinal)).Select(l => l.Text)];

    private async Task Wait(Duration time)
    {
        _portal.Time.Advance(time.ToTimeSpan());
        await _portal.RunJobs();
    }
}
