using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Aftercare;

/// <summary>Steps of ten patients are due at 09:30 in New York and go together: to each patient it is as if hers went alone.</summary>
public sealed class Steps_of_one_morning : IAsyncLifetime
{
    private const int Patients = 10;
    private static readonly Instant Due = Instant.FromUtc(2026, 11, 25, 14, 30);
    private static readonly Guid[] Ids = [.. Enumerable.Range(0, Patients).Select(_ => Guid.CreateVersion7())];
    private readonly Listening_portal _portal = new();

    public async Task InitializeAsync()
    {
        await _portal.InitializeAsync();
        await _portal.Read(async db =>
        {
            for (var i = 0; i < Patients; i++) db.Add(new PatientRow { Id = Ids[i], Name = $"Patient {i}", Number = Number(i), AgreedToTextsAt = _portal.Time.GetCurrentInstant() });
            return await db.SaveChangesAsync();
        });
    }

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Each_goes_once_and_many_at_the_same_time()
    {
        await Plan();
        var (onTheLine, most) = (0, 0);
        _portal.Carrier.Hangs = async (_, _) =>
        {
            most = Math.Max(most, Interlocked.Increment(ref onTheLine));
            await Task.Delay(50);
            Interlocked.Decrement(ref onTheLine);
        };
        await Wait(Due);
        Assert.Equal(Enumerable.Range(0, Patients).Select(Number), Texts().Select(t => t.To).Order());
        Assert.True(most > 1, "one after the other");
        Assert.All(await Jobs(), job => Assert.Equal((1, true), (job.Attempts, job.DoneAt is not null)));
        Assert.All(await Outgoing(), o => Assert.Equal((OutgoingState.Accepted, true), (o.State, _portal.Carrier.Lines.Any(l => l.Sid == o.CarrierId && l.To == o.To))));
    }

    [Fact]
    public async Task A_second_step_of_a_patient_waits_an_hour()
    {
        await Plan();
        await Plan(only: 3);
        await Wait(Due);
        Assert.Single(Texts(), t => t.To == Number(3));
        Assert.Equal(Patients, Texts().Count);
        await Wait(Due + Duration.FromMinutes(61));
        Assert.Equal(2, Texts().Count(t => t.To == Number(3)));
        Assert.Equal(Patients + 1, Texts().Count);
    }

    [Fact]
    public async Task Of_two_who_were_given_one_number_since_one_goes_and_the_other_waits_an_hour()
    {
        await Plan();
        _portal.Carrier.Hangs = (_, _) => Task.CompletedTask;
        foreach (var _ in Ids) _portal.Carrier.NextFaults.Enqueue(429);
        await Wait(Due);
        Assert.Empty(Texts());
        await _portal.Read(db => db.Patients.Where(p => p.Id == Ids[4]).ExecuteUpdateAsync(set => set.SetProperty(p => p.Number, Number(3))));
        await Wait(Due + Duration.FromMinutes(1));
        Assert.Equal((Patients - 1, 1), (Texts().Count, Texts().Count(t => t.To == Number(3))));
        await Wait(Due + Duration.FromMinutes(62));
        Assert.Equal((2, 0), (Texts().Count(t => t.To == Number(3)), Texts().Count(t => t.To == Number(4))));
    }

    [Fact]
    public async Task One_let_go_by_another_worker_in_the_same_moment_keeps_the_hour_too()
    {
        await Plan();
        await _portal.Read(async db =>
        {
            // Another step of hers, let go and handed over by a worker that did not see this one.
            db.Add(new OutgoingRow
            {
                ClinicId = Listening_portal.Clinic, Key = $"step:{Guid.NewGuid()}", Kind = OutgoingKind.Step, From = Listening_portal.Patients, To = Number(3), Text = "Another step.",
                MadeAt = Due, FirstTriedAt = Due - Duration.FromMinutes(10), State = OutgoingState.Calling,
            });
            return await db.SaveChangesAsync();
        });
        await Wait(Due);
        Assert.Equal(Enumerable.Range(0, Patients).Where(i => i is not 3).Select(Number), Texts().Select(t => t.To).Order());
        await Wait(Due + Duration.FromMinutes(49));
        Assert.DoesNotContain(Texts(), t => t.To == Number(3));
        await Wait(Due + Duration.FromMinutes(51));
        Assert.Single(Texts(), t => t.To == Number(3));
    }

    [Theory]
    [InlineData(nameof(OutgoingState.Refused), true)]
    [InlineData(nameof(OutgoingState.HeldBack), true)]
    [InlineData(nameof(OutgoingState.Pending), false)]
    [InlineData(nameof(OutgoingState.Unclear), false)]
    public async Task One_let_go_before_keeps_the_hour_only_when_it_went_or_may_still_go(string state, bool goes)
    {
        await Plan();
        await _portal.Read(async db =>
        {
            var earlier = new StepRow
            {
                ClinicId = Listening_portal.Clinic, TreatmentId = Guid.NewGuid(), PatientId = Ids[3], StepId = "check-day-1", From = "caha-filler.v1", Kind = StepKind.CheckIn,
                TextId = "aftercare-filler-day-1", Day = 1, DueAt = Due, MissedWithinHours = 12, MissedThen = MissedAction.Skip, State = StepState.Sent, StateAt = Due - Duration.FromMinutes(10),
            };
            db.AddRange(earlier, new OutgoingRow
            {
                ClinicId = Listening_portal.Clinic, Key = $"step:{earlier.Id}", Kind = OutgoingKind.Step, From = Listening_portal.Patients, To = Number(3), Text = "Another step.",
                MadeAt = Due - Duration.FromMinutes(10), FirstTriedAt = Due - Duration.FromMinutes(10), State = Enum.Parse<OutgoingState>(state),
            });
            return await db.SaveChangesAsync();
        });
        await Wait(Due);
        Assert.Equal(goes, Texts().Exists(t => t.To == Number(3)));
        Assert.Equal(Patients - (goes ? 0 : 1), Texts().Count);
    }

    [Fact]
    public async Task Who_wrote_STOP_or_has_an_open_report_gets_none_and_the_others_do()
    {
        await Plan();
        await _portal.Deliver("SM1", "STOP", from: Number(1));
        await _portal.Deliver("SM2", "my skin has gone white where you injected and it is getting worse", from: Number(2));
        await Wait(Due);
        Assert.Equal(Enumerable.Range(0, Patients).Where(i => i is not (1 or 2)).Select(Number), Texts().Select(t => t.To).Order());
        Assert.Equal((StepState.Stopped, StepState.Planned), (await StepOf(1), await StepOf(2)));
    }

    [Fact]
    public async Task Who_writes_STOP_or_reports_after_they_were_let_go_gets_none_and_the_others_do()
    {
        await Plan();
        for (var i = 0; i < Patients; i++) _portal.Carrier.NextFaults.Enqueue(429);          // busy: let go, and looked at again
        await Wait(Due);
        Assert.All(await Outgoing(), o => Assert.Equal(OutgoingState.Pending, o.State));
        await _portal.Deliver("SM1", "STOP", from: Number(1));
        await _portal.Deliver("SM2", "my skin has gone white where you injected and it is getting worse", from: Number(2));
        await Wait(Due + Duration.FromSeconds(31));
        Assert.Equal(Enumerable.Range(0, Patients).Where(i => i is not (1 or 2)).Select(Number), Texts().Select(t => t.To).Order());
        Assert.Equal((StepState.Stopped, OutgoingState.HeldBack), (await StepOf(1), (await Outgoing()).Single(o => o.To == Number(1)).State));
        Assert.Equal(OutgoingState.Pending, (await Outgoing()).Single(o => o.To == Number(2)).State);
    }

    [Fact]
    public async Task What_the_carrier_answers_to_one_is_its_own()
    {
        await Plan();
        foreach (var fault in new[] { 429, 400, 503 }) _portal.Carrier.NextFaults.Enqueue(fault);
        _portal.Carrier.NextLostAnswers.Enqueue(503);
        await Wait(Due);
        Assert.Equal(
            [(OutgoingState.Accepted, 6), (OutgoingState.Pending, 1), (OutgoingState.Refused, 1), (OutgoingState.Unclear, 2)],
            (await Outgoing()).GroupBy(o => o.State).Select(g => (g.Key, g.Count())).OrderBy(g => g.Key.ToString()));
        await Wait(Due + Duration.FromMinutes(5));
        Assert.Equal([(OutgoingState.Accepted, 8), (OutgoingState.Refused, 1), (OutgoingState.Unclear, 1)], (await Outgoing()).GroupBy(o => o.State).Select(g => (g.Key, g.Count())).OrderBy(g => g.Key.ToString()));
        Assert.All(Texts().CountBy(t => t.To), to => Assert.Equal(1, to.Value));
        Assert.Equal(8, Texts().Count);
    }

    [Fact]
    public async Task One_whose_text_is_not_in_the_content_fails_alone()
    {
        await Plan();
        await _portal.Read(db => db.Steps.Where(s => s.PatientId == Ids[5]).ExecuteUpdateAsync(set => set.SetProperty(s => s.TextId, "no such text")));
        await Wait(Due);
        await Wait(Due + Duration.FromSeconds(3));
        Assert.Equal(Enumerable.Range(0, Patients).Where(i => i is not 5).Select(Number), Texts().Select(t => t.To).Order());
        var failing = Assert.Single(await Jobs(), j => j.DoneAt is null);
        Assert.Equal((2, StepState.Planned), (failing.Attempts, await StepOf(5)));
    }

    private static string Number(int i) => $"+1202555013{i}";

    // A step of each patient, or one more of one patient.
    private Task<int> Plan(int? only = null) => _portal.Read(async db =>
    {
        foreach (var patient in only is { } one ? [Ids[one]] : Ids)
        {
            var step = new StepRow
            {
                ClinicId = Listening_portal.Clinic, TreatmentId = Guid.NewGuid(), PatientId = patient, StepId = "check-day-1", From = "caha-filler.v1", Kind = StepKind.CheckIn,
                TextId = "aftercare-filler-day-1", Day = 1, DueAt = Due, MissedWithinHours = 12, MissedThen = MissedAction.Skip, State = StepState.Planned, StateAt = _portal.Time.GetCurrentInstant(),
            };
            db.Add(step);
            db.Enqueue(PlanAftercare.SendStep, step.Id.ToString(), Due, JobTable.EverydayLane);
        }

        return await db.SaveChangesAsync();
    });

    private async Task Wait(Instant until)
    {
        _portal.Time.Advance((until - _portal.Time.GetCurrentInstant()).ToTimeSpan());
        await _portal.RunJobs();
    }

    private Task<List<JobRow>> Jobs() => _portal.Read(db => db.Jobs.AsNoTracking().ToListAsync());

    private Task<List<OutgoingRow>> Outgoing() => _portal.Read(db => db.Outgoing.AsNoTracking().Where(o => o.Kind == OutgoingKind.Step).ToListAsync());

    private Task<StepState> StepOf(int i) => _portal.Read(db => db.Steps.Where(s => s.PatientId == Ids[i]).Select(s => s.State).SingleAsync());

    private List<Demo.LoopbackPhone.LoopbackCarrier.Line> Texts() => [.. _portal.Carrier.Lines.Where(l => l.Text.StartsWith("Day ", StringComparison.Ordinal))];
}
