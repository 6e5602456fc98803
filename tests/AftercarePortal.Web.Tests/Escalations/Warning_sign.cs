using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;
using AftercarePortal.Web.Tests.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Escalations;

public sealed class Warning_sign : IAsyncLifetime
{
    private const string First = "+12025550110";
    private const string Second = "+12025550111";
    private const string White = "my skin has gone white and cold where you injected and it is getting worse";
    private readonly Listening_portal _portal = new();

    public async Task InitializeAsync()
    {
        await _portal.InitializeAsync();
        await _portal.Read(async db =>
        {
            foreach (var (person, number, order) in new[] { ("Iris Hale", First, 1), ("Tomas Reed", Second, 2) })
                db.Add(new ShiftRow { Person = person, Number = number, Order = order, From = Instant.FromUtc(2026, 11, 1, 0, 0), To = Instant.FromUtc(2026, 12, 31, 0, 0) });
            return await db.SaveChangesAsync();
        });
    }

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Is_answered_at_once_and_pages_the_first_person_by_text_and_voice()
    {
        await Report("SM1", White);

        var sent = await Sent();
        Assert.Contains(sent, o => o.To == Listening_portal.Patient && o.Kind is OutgoingKind.SafetyReply && o.Text.Contains("911") && o.Text.Contains("202-555-0142"));
        Assert.Contains(sent, o => o.To == First && o.Kind is OutgoingKind.PageText);
        Assert.Contains(sent, o => o.To == First && o.Kind is OutgoingKind.PageCall);
        Assert.DoesNotContain(sent, o => o.To == Second);
        Assert.True((await Escalation()).Tier >= Tier.Urgent);
    }

    [Theory]
    [InlineData("i want to kill myself", 0, 1)]
    [InlineData("i cant see out of my left eye", 1, 0)]
    [InlineData("i cant see out of my left eye, i want to kill myself", 1, 1)]
    public async Task Of_the_body_is_answered_as_one_also_when_the_same_text_speaks_of_despair(string words, int emergency, int despair)
    {
        await Report("SM1", words);
        var replies = (await Sent()).Where(o => o.To == Listening_portal.Patient && o.Kind is OutgoingKind.SafetyReply).ToList();
        Assert.Equal((emergency, despair), (replies.Count(o => !o.Text.StartsWith("Thank you for telling us")), replies.Count(o => o.Text.StartsWith("Thank you for telling us"))));
        Assert.All(replies, o => Assert.Contains("911", o.Text));
    }

    [Fact]
    public async Task Told_in_two_texts_is_read_as_one()
    {
        await Report("SM1", "theres a pale patch on my chin");
        Assert.Equal(Tier.Urgent, (await Escalation()).Tier);
        await Report("SM2", "and its cold");
        Assert.Equal(Tier.Emergency, (await Escalation()).Tier);
    }

    [Fact]
    public async Task After_a_filler_stays_one_when_toxin_was_given_since()
    {
        await Give(ProductClass.CaHAFiller, daysAgo: 11, number: 1);
        await Give(ProductClass.BotulinumToxinTypeA, daysAgo: 1, number: 2);
        await Report("SM1", "my jaw is white and cold");
        Assert.Equal(Tier.Emergency, (await Escalation()).Tier);
    }

    [Fact]
    public async Task After_toxin_alone_is_read_without_the_filler_of_years_ago()
    {
        await Give(ProductClass.CaHAFiller, daysAgo: 400, number: 1);
        await Give(ProductClass.BotulinumToxinTypeA, daysAgo: 1, number: 2);
        await Report("SM1", "my jaw is white and cold");
        Assert.Equal(Tier.Urgent, (await Escalation()).Tier);
    }

    [Fact]
    public void After_any_treatment_is_read_with_it_for_as_long_as_its_texts_run() =>
        Assert.True(ContentLibrary.Load(ContentLibrary.Folder).Aftercare.Sequences.Max(s => s.Steps.Max(step => step.Day)) <= HeldRecords.AftercareRuns);

    private async Task Give(ProductClass product, int daysAgo, int number) => await _portal.Read(async db =>
    {
        var now = _portal.Time.GetCurrentInstant();
        var patient = await db.Patients.SingleOrDefaultAsync();
        if (patient is null) db.Add(patient = new PatientRow { Name = "Mira Sand", Number = Listening_portal.Patient });
        db.Add(new TreatmentRow
        {
            Id = Guid.CreateVersion7(), PatientId = patient.Id, Number = number, SignedBy = "Iris Hale", SignedAt = now - Duration.FromDays(daysAgo),
            TreatedOn = (now - Duration.FromDays(daysAgo)).InZone(DateTimeZoneProviders.Tzdb["America/New_York"]).Date,
            Placements =
            [
                new PlacementRow
                {
                    Ordinal = 1, Region = Region.JawAngle, Side = Side.Left, ProductClass = product, ProductName = "Demo product", Lot = "DEMO-0417", Expiry = new(2028, 6, 30),
                    HundredthsMl = product is ProductClass.BotulinumToxinTypeA ? null : 75, TenthsUnits = product is ProductClass.BotulinumToxinTypeA ? 40 : null, Plane = Plane.Subcutaneous, Device = "30 G needle",
                },
            ],
        });
        return await db.SaveChangesAsync();
    });

    [Fact]
    public async Task Never_puts_the_patients_words_or_number_into_a_page()
    {
        await Report("SM1", White);
        Assert.All((await Sent()).Where(o => o.To == First), o =>
        {
            Assert.DoesNotContain("white", o.Text, StringComparison.OrdinalIgnoreCase);
            Assert.DoesNotContain(Listening_portal.Patient, o.Text);
        });
    }

    [Fact]
    public async Task Goes_to_the_next_person_and_then_to_everyone_until_somebody_takes_it()
    {
        await Report("SM1", White);
        await Wait(minutes: 7);
        Assert.Contains(await Sent(), o => o.To == Second);
        await Wait(minutes: 9);
        Assert.Equal(2, (await Sent()).Count(o => o.To == First && o.Kind is OutgoingKind.PageText));
        Assert.Contains(await Sent(), o => o.To == Listening_portal.Patient && o.Text.StartsWith("Nobody from our team has answered yet"));
        await Wait(minutes: 11);
        Assert.Equal(3, (await Sent()).Count(o => o.To == First && o.Kind is OutgoingKind.PageText));
    }

    [Fact]
    public async Task Taken_by_a_text_pages_nobody_else_and_the_patient_hears_it()
    {
        await Report("SM1", White);
        await _portal.Deliver("SM2", "take", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();

        Assert.Equal("Iris Hale", (await Escalation()).TakenBy);
        Assert.Contains(await Sent(), o => o.To == Listening_portal.Patient && o.Text.StartsWith("A clinician has taken your report"));
        await Wait(minutes: 7);
        Assert.DoesNotContain(await Sent(), o => o.To == Second);
    }

    [Fact]
    public async Task Taken_by_two_at_once_belongs_to_exactly_one()
    {
        await Report("SM1", White);
        await Task.WhenAll(
            _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First), _portal.Deliver("SM3", "TAKE", to: Listening_portal.Pages, from: Second));
        await Task.WhenAll(_portal.RunJobs(), _portal.RunJobs());
        Assert.Equal(1, await _portal.Read(db => db.EscalationEvents.CountAsync(e => e.What == EscalationEvent.Taken)));
    }

    [Theory]
    [InlineData("Take.")]
    [InlineData("\"TAKE\"")]
    [InlineData("take\n")]
    [InlineData("Take {0}.")]
    [InlineData("Take\u00a0{0}!")]
    public async Task Is_taken_however_the_phone_writes_it(string words)
    {
        await Report("SM1", White);
        await _portal.Deliver("SM2", string.Format(System.Globalization.CultureInfo.InvariantCulture, words, (await Escalation()).Ref), to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        Assert.Equal("Iris Hale", (await Escalation()).TakenBy);
    }

    [Fact]
    public async Task Taken_without_an_outcome_is_reminded_twice_and_then_everyone_may_take_it_over()
    {
        await Report("SM1", White);
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        await Wait(minutes: 46);
        await Wait(minutes: 7);
        Assert.Equal("Iris Hale", (await Escalation()).TakenBy);
        await Wait(minutes: 7);
        Assert.Null((await Escalation()).TakenBy);
        Assert.Equal((2, 1), (await Pages(First), await Pages(Second)));
        Assert.Contains(await Sent(), m => m.To == Listening_portal.Patient && m.Text.StartsWith("Your report waits for a clinician again"));

        await _portal.Deliver("SM3", "TAKE", to: Listening_portal.Pages, from: Second);
        await _portal.RunJobs();
        Assert.Equal("Tomas Reed", (await Escalation()).TakenBy);
        Assert.Equal(
            "Taken Iris Hale, Reminded Iris Hale, Reminded Iris Hale, Reopened Iris Hale, PagedEveryone , Taken Tomas Reed",
            string.Join(", ", (await Events()).SkipWhile(e => e.What is not EscalationEvent.Taken).Select(e => $"{e.What} {e.Person}")));
    }

    [Fact]
    public async Task A_timer_that_runs_twice_reminds_once()
    {
        await Report("SM1", White);
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        var timer = await _portal.Read(db => db.Jobs.SingleAsync(j => j.Kind == EscalationJobs.OutcomeDue));
        await _portal.Read(async db =>
        {
            db.Enqueue(timer.Kind, timer.Subject, timer.DueAt);
            return await db.SaveChangesAsync();
        });
        await Wait(minutes: 46);
        Assert.Single(await Events(), e => e.What is EscalationEvent.Reminded);
    }

    [Fact]
    public async Task With_nobody_on_call_says_so_and_names_the_emergency_number_first()
    {
        await NobodyOnCall();
        await Report("SM1", "I cannot breathe and my lips are swelling");
        var reply = Assert.Single(await Sent(), m => m.To == Listening_portal.Patient && m.Asks is null).Text;
        Assert.StartsWith("This may be an emergency. Call 911 now.", reply);
        Assert.Contains("We have not reached a clinician yet", reply);
        Assert.DoesNotContain("We are calling", reply);
    }

    [Fact]
    public async Task Written_again_while_nobody_answers_is_not_told_that_somebody_comes()
    {
        await Report("SM1", "I cannot breathe and my lips are swelling");
        Assert.Contains("We are calling our on-call clinician", (await Sent()).Last(m => m.To == Listening_portal.Patient && m.Asks is null).Text);
        await Wait(minutes: 5);
        await Wait(minutes: 5);
        await Report("SM2", "I cannot breathe");
        Assert.StartsWith("This may be an emergency. Call 911 now. Do not drive yourself. We have not reached", (await Sent()).Last(m => m.To == Listening_portal.Patient && m.Asks is null).Text);
    }

    [Fact]
    public async Task Says_that_the_patient_was_told_only_when_the_carrier_says_that_it_arrived()
    {
        await Report("SM1", White);
        Assert.DoesNotContain(await Events(), e => e.What is EscalationEvent.PatientTold);
        var reply = (await Sent()).Single(m => m.To == Listening_portal.Patient && m.Asks is null);
        foreach (var status in new[] { "sent", "delivered", "delivered" }) await _portal.Report(reply.Id, status);
        await _portal.RunJobs();
        Assert.Equal(reply.Id, Assert.Single(await Events(), e => e.What is EscalationEvent.PatientTold).OutgoingId);
    }

    [Fact]
    public async Task Whose_answer_does_not_arrive_whoever_has_it_is_told_to_ring()
    {
        await Report("SM1", White);
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        var told = (await Sent()).Single(m => m.To == Listening_portal.Patient && m.Text.StartsWith("A clinician has taken"));
        for (var i = 0; i < 2; i++) await _portal.Report(told.Id, "undelivered");
        await _portal.RunJobs();
        Assert.Single(await Sent(), m => m.To == First && m.Text.Contains("do not reach the patient"));
        Assert.Single(await Events(), e => e.What is EscalationEvent.PatientCannotBeTexted);
    }

    [Fact]
    public async Task With_a_photo_sent_to_the_number_of_pages_is_kept_with_its_photo()
    {
        await _portal.Deliver("SM1", White, media: 2, to: Listening_portal.Pages);
        await _portal.RunJobs();
        var message = await _portal.Read(db => db.Messages.SingleAsync());
        Assert.Equal([0, 1], await _portal.Read(db => db.Photos.Where(p => p.MessageId == message.Id).Select(p => p.Index).ToListAsync()));
        Assert.NotNull(await Escalation());
    }

    [Fact]
    public async Task Paged_to_somebody_with_a_colon_in_the_name_moves_on_when_the_page_fails()
    {
        await NobodyOnCall();
        await OnCall("Dr. Vale: dermatology", First, 1);
        await OnCall("Tomas Reed", Second, 2);
        await Report("SM1", White);
        await DeadNumber(First);
        Assert.Equal(1, await Pages(Second));
    }

    [Fact]
    public async Task Raised_and_confirmed_after_it_was_taken_is_reopened_without_an_outcome()
    {
        await Report("SM1", "the spot is red and hot with pus");
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        await Report("SM3", "now I cannot breathe");
        await _portal.Press((await Escalation()).Id, First, "1", round: 2);
        Assert.Equal((Clinical.Triage.Tier.Emergency, "Iris Hale"), ((await Escalation()).Tier, (await Escalation()).TakenBy));
        foreach (var minutes in new[] { 46, 7, 7 }) await Wait(minutes);
        Assert.Contains(await Events(), e => e.What is EscalationEvent.Reopened);
    }

    [Fact]
    public async Task A_patient_who_writes_again_is_told_to_the_taker()
    {
        await Report("SM1", White);
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        var before = (await Sent()).Count(m => m.To == First);
        await Wait(minutes: 1);
        await Report("SM3", White);
        Assert.True((await Sent()).Count(m => m.To == First) > before);
    }

    [Theory]
    [InlineData("HELP")]
    [InlineData("help!")]
    [InlineData("AYUDA")]
    [InlineData("¡ayuda!")]
    public async Task A_bare_call_for_help_is_told_whom_to_ring_and_a_person_looks(string text)
    {
        await Report("SM1", text);
        Assert.NotNull(await Escalation());
        var reply = (await Sent()).Single(m => m.To == Listening_portal.Patient).Text;
        Assert.Contains("202-555-0142", reply);
        Assert.Contains("911", reply);
    }

    [Fact]
    public async Task Sent_to_the_number_of_pages_by_mistake_is_read_all_the_same()
    {
        Assert.Equal(200, await _portal.Deliver("SM1", White, to: Listening_portal.Pages));
        await _portal.RunJobs();
        Assert.NotNull(await Escalation());
        Assert.Contains(await Sent(), m => m.To == Listening_portal.Patient);
    }

    [Fact]
    public async Task A_number_whose_shift_ended_long_ago_takes_nothing()
    {
        await _portal.Read(async db =>
        {
            var now = _portal.Time.GetCurrentInstant();
            db.Add(new ShiftRow { Person = "Old Hand", Number = "+12025550119", Order = 1, From = now - Duration.FromDays(400), To = now - Duration.FromDays(399) });
            return await db.SaveChangesAsync();
        });
        await Report("SM1", White);
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: "+12025550119");
        await _portal.RunJobs();
        Assert.Null((await _portal.Read(db => db.Escalations.OrderBy(e => e.OpenedAt).FirstAsync())).TakenBy);
    }

    [Fact]
    public async Task Read_twice_acts_once()
    {
        await Report("SM1", White);
        var before = (await Sent()).Count;
        await _portal.Deliver("SM1", White);
        await _portal.RunJobs();
        Assert.Equal(before, (await Sent()).Count);
    }

    [Fact]
    public async Task Is_never_lowered_by_a_later_message()
    {
        await Report("SM1", White);
        var before = (await Escalation()).Tier;
        await Report("SM2", "thanks, all good now");
        Assert.Equal(before, (await Escalation()).Tier);
    }

    [Fact]
    public async Task In_a_photo_without_words_reaches_a_person()
    {
        await Report("SM1", "", media: 1);
        Assert.True((await Escalation()).Tier >= Tier.SameDay);
        Assert.Contains(await Sent(), o => o.To == First);
    }

    [Fact]
    public async Task After_a_STOP_is_still_read_and_still_pages()
    {
        await Report("SM1", "STOP");
        Assert.Empty(await _portal.Read(db => db.Escalations.ToListAsync()));
        await Report("SM2", White);
        Assert.True((await Escalation()).Tier >= Tier.Urgent);
        Assert.Contains(await _portal.Read(db => db.EscalationEvents.ToListAsync()), e => e.What is EscalationEvent.PatientCannotBeTexted);
    }

    [Fact]
    public async Task Passed_on_goes_to_the_next_person_and_the_first_persons_timer_adds_nothing()
    {
        await Report("SM1", White);
        await Wait(minutes: 2);
        await _portal.Deliver("SM2", "PASS", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        Assert.Equal(1, await Pages(Second));
        await Wait(minutes: 3);                                                 // the first person's 3 minutes are over, the second's are not
        Assert.Equal((1, 1), (await Pages(First), await Pages(Second)));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Given_back_by_PASS_alone_only_where_it_was_written_after_it_was_taken(bool after)
    {
        await _portal.Sweep();
        await Report("SM1", White);
        if (!after) _portal.Carrier.TextWithoutWebhook(First, Listening_portal.Pages, "Pass.");
        await Wait(minutes: 1);
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        await Wait(minutes: 1);
        if (after) await _portal.Deliver("SM3", "Pass.", to: Listening_portal.Pages, from: First);
        else await _portal.Sweep();
        await _portal.RunJobs();
        Assert.Equal(after ? null : "Iris Hale", (await Escalation()).TakenBy);
    }

    [Fact]
    public async Task Given_back_by_whoever_took_it_is_everyones_at_once_and_stays_everyones_until_somebody_takes_it()
    {
        await Report("SM1", White);
        var reference = (await Escalation()).Ref;
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        await _portal.Deliver("SM3", $"PASS {reference}", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        Assert.Null((await Escalation()).TakenBy);
        Assert.Equal((2, 1), (await Pages(First), await Pages(Second)));
        Assert.Contains(await Sent(), m => m.To == Listening_portal.Patient && m.Text.StartsWith("Your report waits for a clinician again"));
        await Wait(minutes: 6);
        Assert.Equal((3, 2), (await Pages(First), await Pages(Second)));
    }

    [Fact]
    public async Task Passed_on_again_and_again_pages_everyone_only_at_the_rounds_own_time()
    {
        await Report("SM1", White);
        await Wait(minutes: 7);
        await Wait(minutes: 9);
        var before = await Pages(First);
        for (var i = 0; i < 3; i++) await _portal.Deliver($"SM2{i}", "PASS", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        Assert.Equal(before, await Pages(First));
    }

    [Fact]
    public async Task With_a_dead_number_on_the_rota_reaches_the_next_at_once_and_never_pages_without_end()
    {
        await Report("SM1", White);
        await DeadNumber(First);
        Assert.Equal(1, await Pages(Second));
        await DeadNumber(Second);
        Assert.Equal(2, await Pages(First));                                    // now everyone
        for (var i = 0; i < 3; i++) await DeadNumber(First);
        Assert.Equal((2, 2), (await Pages(First), await Pages(Second)));
        await Wait(minutes: 11);
        Assert.Equal((3, 3), (await Pages(First), await Pages(Second)));
    }

    [Theory]
    [InlineData("1", "Iris Hale")]
    [InlineData("2", null)]
    [InlineData("", null)]
    public async Task Is_taken_on_the_phone_only_by_pressing_1(string digit, string? taker)
    {
        await Report("SM1", White);
        Assert.Equal(200, await _portal.Press((await Escalation()).Id, First, digit));
        Assert.Equal(taker, (await Escalation()).TakenBy);
    }

    [Fact]
    public async Task Given_back_on_the_phone_in_one_moment_by_several_keys_every_key_counts()
    {
        await Report("SM1", White);
        var report = (await Escalation()).Id;
        await _portal.Press(report, First, "1");
        Assert.All(await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => _portal.Press(report, First, "2"))), answer => Assert.Equal(200, answer));
        Assert.Null((await Escalation()).TakenBy);
        Assert.Equal(3, await _portal.Read(db => db.EscalationEvents.CountAsync(e => e.What == EscalationEvent.Passed)));
    }

    [Fact]
    public async Task Is_not_taken_by_a_number_that_is_not_on_the_rota()
    {
        await Report("SM1", White);
        Assert.Equal(200, await _portal.Press((await Escalation()).Id, "+12025550188", "1"));
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: "+12025550188");
        await _portal.RunJobs();
        Assert.All(await _portal.Read(db => db.Escalations.ToListAsync()), e => Assert.Null(e.TakenBy));
    }

    [Fact]
    public async Task Of_somebody_of_staff_who_is_a_patient_too_is_read_whichever_number_they_text()
    {
        await _portal.Read(async db =>
        {
            db.Add(new PatientRow { Name = "Tomas Reed", Number = Second });
            return await db.SaveChangesAsync();
        });
        await _portal.Deliver("SM1", White, to: Listening_portal.Pages, from: Second);
        await _portal.RunJobs();
        Assert.Equal(Second, (await Escalation()).Number);
        Assert.Contains(await Sent(), o => o.To == Second && o.Kind is OutgoingKind.SafetyReply);
        Assert.Equal(1, await Pages(First));
        await _portal.Deliver("SM3", "Pass out whenever I stand up", to: Listening_portal.Pages, from: Second);      // begins like one, and is none
        await _portal.RunJobs();
        Assert.Equal(2, await _portal.Read(db => db.Readings.CountAsync()));
        Assert.Equal(1, await _portal.Read(db => db.EscalationEvents.CountAsync(e => e.What == EscalationEvent.Opened)));
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: Second);          // staff words stay staff words
        await _portal.RunJobs();
        Assert.Equal("Tomas Reed", (await Escalation()).TakenBy);
    }

    [Fact]
    public async Task Taken_from_a_handset_two_people_share_is_of_the_one_who_was_paged_last()
    {
        await _portal.Read(db => db.Shifts.Where(s => s.Person == "Tomas Reed").ExecuteUpdateAsync(set => set.SetProperty(s => s.Number, First)));
        await Report("SM1", White);
        _portal.Time.Advance(TimeSpan.FromMinutes(4));
        await _portal.RunJobs();
        Assert.Equal(EscalationEvent.Paged, (await _portal.Read(db => db.EscalationEvents.OrderBy(e => e.Id).LastAsync(e => e.Person == "Tomas Reed"))).What);
        await _portal.Deliver("SM2", "TAKE", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        Assert.Equal("Tomas Reed", (await Escalation()).TakenBy);
    }

    [Fact]
    public async Task Named_from_a_shared_handset_is_taken_by_whoever_was_paged_for_it_though_the_other_was_paged_later_for_another()
    {
        await _portal.Read(db => db.Shifts.Where(s => s.Person == "Tomas Reed").ExecuteUpdateAsync(set => set.SetProperty(s => s.Number, First)));
        await Report("SM1", White);
        _portal.Time.Advance(TimeSpan.FromMinutes(4));
        await _portal.RunJobs();                                                                // Tomas is paged for the first report
        var first = await _portal.Read(db => db.Escalations.SingleAsync());
        _portal.Time.Advance(TimeSpan.FromSeconds(30));
        await _portal.Deliver("SM2", White, from: "+12125550199");
        await _portal.RunJobs();                                                                // and Iris after it for a second
        await _portal.Deliver("SM3", $"TAKE {first.Ref}", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        Assert.Equal("Tomas Reed", await _portal.Read(db => db.Escalations.Where(e => e.Id == first.Id).Select(e => e.TakenBy).SingleAsync()));
    }

    [Fact]
    public async Task From_a_phone_two_patients_share_is_given_to_nobodys_record()
    {
        await _portal.Read(async db =>
        {
            db.Add(new PatientRow { Name = "Mira Sand", Number = Listening_portal.Patient });
            db.Add(new PatientRow { Name = "Lena Sand", Number = Listening_portal.Patient });
            return await db.SaveChangesAsync();
        });
        await Report("SM1", White);
        Assert.Null((await Escalation()).PatientId);
        Assert.Equal(1, await Pages(First));
    }

    private async Task<int> Pages(string number) => (await Sent()).Count(o => o.To == number && o.Key.StartsWith("page:") && o.Kind is OutgoingKind.PageText);

    // The carrier says that the latest page to this number failed.
    private async Task DeadNumber(string number)
    {
        var page = (await Sent()).Last(o => o.To == number && o.Key.StartsWith("page:") && o.Kind is OutgoingKind.PageText);
        Assert.Equal(200, await _portal.Report(page.Id, "undelivered"));
        await _portal.RunJobs();
    }

    private Task<List<EscalationEventRow>> Events() => _portal.Read(async db => (await db.EscalationEvents.ToListAsync()).InOrder().ToList());

    private Task<int> NobodyOnCall() => _portal.Read(db => db.Shifts.ExecuteDeleteAsync());

    private Task<int> OnCall(string person, string number, int order) => _portal.Read(async db =>
    {
        db.Add(new ShiftRow { Person = person, Number = number, Order = order, From = Instant.FromUtc(2026, 11, 1, 0, 0), To = Instant.FromUtc(2026, 12, 31, 0, 0) });
        return await db.SaveChangesAsync();
    });

    private async Task Report(string sid, string text, int media = 0)
    {
        Assert.Equal(200, await _portal.Deliver(sid, text, media));
        await _portal.RunJobs();
    }

    private async Task Wait(int minutes)
    {
        _portal.Time.Advance(TimeSpan.FromMinutes(minutes));
        await _portal.RunJobs();
    }

    private Task<List<OutgoingRow>> Sent() => _portal.Read(db => db.Outgoing.OrderBy(o => o.MadeAt).ThenBy(o => o.Id).ToListAsync());

    private Task<EscalationRow> Escalation() => _portal.Read(db => db.Escalations.SingleAsync());
}
