using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>What a patient hears back, through the webhook.</summary>
public sealed class Conversation_by_text : IAsyncLifetime
{
    private readonly Listening_portal _portal = new();
    private int _count;

    public async Task InitializeAsync()
    {
        await _portal.InitializeAsync();
        await _portal.Read(async db =>
        {
            db.Add(new PatientRow { ClinicId = Listening_portal.Clinic, Name = "Mira Sand", Number = Listening_portal.Patient });
            return await db.SaveChangesAsync();
        });
    }

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Whoever_writes_Spanish_is_answered_in_Spanish_also_by_later_words_of_the_report()
    {
        Assert.StartsWith("Puede ser una emergencia", Assert.Single(await Text("no puedo respirar bien desde hoy y la garganta se me cierra")));
        Assert.Equal("es", await _portal.Read(db => db.Escalations.Select(e => e.Language).SingleAsync()));
    }

    [Fact]
    public async Task A_language_asked_for_is_kept_for_the_care_texts_and_who_changed_it()
    {
        Assert.StartsWith("Desde ahora le escribimos", Assert.Single(await Text("Español por favor")));
        Assert.Equal("es", await _portal.Read(db => db.Patients.Select(p => p.Language).SingleAsync()));
        Assert.Equal([("as it stood until then", "en"), ("the patient, by text", "es")], await _portal.Read(db => db.PatientChanges.OrderBy(c => c.ChangedAt).Select(c => ValueTuple.Create(c.ChangedBy, c.Language)).ToListAsync()));
        Assert.StartsWith("Gracias", Assert.Single(await Text("ok")));
        Assert.Empty(await _portal.Read(db => db.Escalations.ToListAsync()));
    }

    [Fact]
    public async Task A_number_is_a_pain_after_a_check_in_asked_for_it_and_a_risen_one_opens_a_report()
    {
        await Ask();
        Assert.StartsWith("Thank you, kept for your clinician", Assert.Single(await Text("1")));
        Assert.Empty(await _portal.Read(db => db.Escalations.ToListAsync()));
        _portal.Time.Advance(TimeSpan.FromHours(12));
        await Ask();
        Assert.Contains("call 911", (await Text("3"))[0]);
        Assert.Equal(Tier.Urgent, await _portal.Read(db => db.Escalations.Select(e => e.Tier).SingleAsync()));
        Assert.Equal([1, 3], await _portal.Read(db => db.CheckIns.OrderBy(c => c.At).Select(c => c.Pain).ToListAsync()));
    }

    [Theory]
    [InlineData("2")]
    [InlineData("Español")]
    public async Task A_photo_beside_a_pain_or_a_language_is_looked_at_by_a_person(string words)
    {
        await Ask();
        Assert.Equal(200, await _portal.Deliver("SM-with", words, media: 1));
        await _portal.RunJobs();
        Assert.True((await _portal.Read(db => db.Escalations.SingleAsync())).Tier >= Tier.SameDay);
    }

    [Fact]
    public async Task A_language_asked_for_from_a_number_two_patients_share_is_kept_for_both()
    {
        await _portal.Read(async db =>
        {
            db.Add(new PatientRow { ClinicId = Listening_portal.Clinic, Name = "Ana Sand", Number = Listening_portal.Patient });
            return await db.SaveChangesAsync();
        });
        await Text("Español por favor");
        Assert.Equal(["es", "es"], await _portal.Read(db => db.Patients.Select(p => p.Language).ToListAsync()));
    }

    [Fact]
    public async Task Long_after_a_check_in_a_number_is_not_understood_and_a_person_looks()
    {
        await Ask();
        _portal.Time.Advance(TimeSpan.FromHours(30));
        await Text("4");
        Assert.Equal(Tier.Urgent, await _portal.Read(db => db.Escalations.Select(e => e.Tier).SingleAsync()));
        Assert.Empty(await _portal.Read(db => db.CheckIns.ToListAsync()));
        Assert.NotEmpty(await _portal.Read(db => db.Escalations.ToListAsync()));
    }

    [Fact]
    public async Task A_wrong_number_gets_no_more_care_texts_until_START_and_a_person_looks()
    {
        Assert.StartsWith("Thank you. Care texts to this number are stopped", Assert.Single(await Text("sorry you have the wrong number")));
        Assert.True(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
        Assert.Equal(Tier.SameDay, await _portal.Read(db => db.Escalations.Select(e => e.Tier).SingleAsync()));
        await Text("START");
        Assert.False(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
    }

    [Fact]
    public async Task A_wrong_number_found_late_does_not_outrank_a_START_written_since()
    {
        await _portal.Sweep();
        await FoundLate("sorry you have the wrong number", "START");
        Assert.False(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
    }

    [Fact]
    public async Task A_pain_found_late_counts_from_when_it_was_written_and_one_that_rose_since_opens_a_report()
    {
        await _portal.Sweep();
        await Ask();
        _portal.Time.Advance(TimeSpan.FromMinutes(1));
        var written = _portal.Time.GetCurrentInstant();
        await FoundLate("8", "2");
        Assert.Equal([(8, written), (2, written + Duration.FromHours(2))], await _portal.Read(db => db.CheckIns.OrderBy(c => c.At).Select(c => ValueTuple.Create(c.Pain ?? -1, c.At)).ToListAsync()));
        await _portal.Read(db => db.Escalations.ExecuteDeleteAsync());          // what the eight opened

        await Text("4", afterMinutes: 60);
        Assert.Equal(Tier.Urgent, await _portal.Read(db => db.Escalations.Select(e => e.Tier).SingleAsync()));
    }

    [Fact]
    public async Task A_pain_found_late_is_not_called_risen_over_one_written_after_it()
    {
        await _portal.Sweep();
        await Ask();
        _portal.Time.Advance(TimeSpan.FromMinutes(1));
        await FoundLate("2", "0");
        Assert.Empty(await _portal.Read(db => db.Escalations.ToListAsync()));
    }

    [Fact]
    public async Task A_question_is_answered_and_a_person_is_never_further_than_one_number()
    {
        var answer = Assert.Single(await Text("can I go to the gym tomorrow?"));
        Assert.Contains("no hard exercise", answer, StringComparison.Ordinal);
        Assert.Contains("202-555-0142", answer, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Two_machines_that_answer_each_other_stop_and_a_person_looks()
    {
        var replies = 0;
        for (var i = 0; i < 40; i++) replies += (await Text("ok")).Count;
        Assert.InRange(replies, 1, 20);
        Assert.Single(await _portal.Read(db => db.Escalations.ToListAsync()));
        Assert.NotEmpty(await Text("I cannot breathe", afterMinutes: 31));
    }

    [Fact]
    public async Task A_photo_is_asked_for_once()
    {
        var first = await Text("one side looks uneven");
        Assert.Equal(2, first.Count);
        Assert.StartsWith("A photo helps", first[1]);
        Assert.Single(await Text("it looks really uneven to me", afterMinutes: 15));
    }

    // The first is written and no webhook brings it; the second is read two hours later, and the first an hour after that.
    private async Task FoundLate(string first, string second)
    {
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, first);
        await Text(second, afterMinutes: 120);
        _portal.Time.Advance(TimeSpan.FromHours(1));
        Assert.Equal(1, await _portal.Sweep());
        await _portal.RunJobs();
    }

    private async Task<List<string>> Text(string words, int afterMinutes = 0)
    {
        _portal.Time.Advance(TimeSpan.FromMinutes(afterMinutes));
        var before = await Replies();
        Assert.Equal(200, await _portal.Deliver($"SM-talk-{_count++}", words));
        await _portal.RunJobs();
        return [.. (await Replies()).Skip(before.Count)];
    }

    private Task<List<string>> Replies() => _portal.Read(db => db.Outgoing.Where(o => o.To == Listening_portal.Patient && o.Kind == OutgoingKind.SafetyReply && o.Key.StartsWith("reply:")).OrderBy(o => o.MadeAt).ThenBy(o => o.Key).Select(o => o.Text).ToListAsync());

    private async Task Ask()
    {
        await _portal.Read(async db =>
        {
            await db.QueueOnce($"asked:{_count}", OutgoingKind.SafetyReply, Listening_portal.Patients, Listening_portal.Patient, "Day 1: pain 0-10?", _portal.Time.GetCurrentInstant(), default, asks: OutgoingAsk.CheckIn);
            return await db.SaveChangesAsync();
        });
        await _portal.RunJobs();
    }
}
