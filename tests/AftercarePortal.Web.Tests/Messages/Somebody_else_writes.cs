using System.Text.Json;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>A relative on the patient's phone, or somebody on another patient's: from the webhook to the reply and the page.</summary>
public sealed class Somebody_else_writes : IAsyncLifetime
{
    private const string OnCall = "+12025550110";
    private const string Sister = "+12025550124";
    private readonly Listening_portal _portal = new();
    private int _count;

    public async Task InitializeAsync()
    {
        await _portal.InitializeAsync();
        await _portal.Read(async db =>
        {
            db.Add(new PatientRow { ClinicId = Listening_portal.Clinic, Name = "Mira Sand", Number = Listening_portal.Patient });
            db.Add(new PatientRow { ClinicId = Listening_portal.Clinic, Name = "Ana Sand", Number = Sister });
            db.Add(new ShiftRow { Person = "Iris Hale", Number = OnCall, Order = 1, From = Instant.FromUtc(2026, 11, 1, 0, 0), To = Instant.FromUtc(2026, 12, 31, 0, 0) });
            return await db.SaveChangesAsync();
        });
    }

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Theory]
    [InlineData("hi this is her husband, Mira cant get her words out and her mouth has dropped", "This may be an emergency")]
    [InlineData("it's for my mum, she can't breathe properly", "This may be an emergency")]
    [InlineData("soy la hija de Mira, mi mamá no puede hablar y se le cayó un lado de la cara", "Puede ser una emergencia")]
    [InlineData("es para mi mamá, no puede respirar", "Puede ser una emergencia")]
    public async Task A_sign_told_by_a_relative_is_answered_and_paged_like_the_patients_own(string text, string reply)
    {
        Assert.StartsWith(reply, (await Text(text))[0], StringComparison.Ordinal);
        Assert.Equal(Tier.Emergency, (await Report()).Tier);
        var pages = await _portal.Read(db => db.Outgoing.Where(o => o.To == OnCall).ToListAsync());
        Assert.Contains(pages, p => p.Kind is OutgoingKind.PageText);
        Assert.Contains(pages, p => p.Kind is OutgoingKind.PageCall);
        Assert.All(pages, p => Assert.DoesNotContain("Mira", p.Text, StringComparison.Ordinal));
        Assert.Contains(await Why(), w => w.StartsWith("somebody else may be writing", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("my wife's chin has gone white and it really hurts", Tier.Emergency)]
    [InlineData("its Mira, my phone is dead so this is on Anas. my chin has gone white and cold", Tier.Emergency)]
    [InlineData("my chin has gone white and it really hurts", Tier.Urgent)]
    public async Task Is_not_read_by_the_day_and_product_of_whose_phone_it_is(string text, Tier tier)
    {
        await Treated(daysAgo: 90, draft: false);
        await Text(text, from: Sister);
        Assert.Equal(tier, (await Report()).Tier);
    }

    [Theory]
    [InlineData(false, Tier.Urgent)]
    [InlineData(true, Tier.Emergency)]
    public async Task A_text_while_a_record_waits_to_be_signed_is_read_as_of_somebody_treated_today(bool draft, Tier tier)
    {
        await Treated(daysAgo: 90, draft);
        await Text("my chin has gone white and it really hurts", from: Sister);
        Assert.Equal(tier, (await Report()).Tier);
    }

    [Theory]
    [InlineData(2, Tier.Emergency)]
    [InlineData(20, Tier.Urgent)]
    public async Task A_text_within_two_weeks_of_a_treatment_that_was_stopped_is_read_as_of_somebody_treated_in_these_days(int daysAgo, Tier tier)
    {
        await Treated(daysAgo: 90, draft: false);
        await _portal.Read(async db =>
        {
            var (ana, at) = (await db.Patients.SingleAsync(p => p.Number == Sister), _portal.Time.GetCurrentInstant() - Duration.FromDays(daysAgo));
            db.Add(new TreatmentRow { Id = Guid.CreateVersion7(), PatientId = ana.Id, Number = 2, SignedBy = "Iris Hale", SignedAt = at, TreatedOn = at.InUtc().Date, Events = "Blood at aspiration: stopped." });
            return await db.SaveChangesAsync();
        });
        await Text("my chin has gone white and it really hurts", from: Sister);
        Assert.Equal(tier, (await Report()).Tier);
    }

    private Task<int> Treated(int daysAgo, bool draft) => _portal.Read(async db =>
    {
        var (ana, now) = (await db.Patients.SingleAsync(p => p.Number == Sister), _portal.Time.GetCurrentInstant());
        db.Add(new TreatmentRow
        {
            Id = Guid.CreateVersion7(), PatientId = ana.Id, Number = 1, SignedBy = "Iris Hale", SignedAt = now - Duration.FromDays(daysAgo), TreatedOn = (now - Duration.FromDays(daysAgo)).InUtc().Date,
            Placements = [new PlacementRow { Ordinal = 1, Region = Region.JawAngle, Side = Side.Left, ProductClass = ProductClass.CaHAFiller, ProductName = "Demo product", Lot = "DEMO-0417", Expiry = new(2028, 6, 30), HundredthsMl = 75, Plane = Plane.Subcutaneous, Device = "30 G needle" }],
        });
        if (draft) db.Add(new TreatmentDraftRow { PatientId = ana.Id, StaffId = "iris", StaffName = "Iris Hale", Form = "{}", SavedAt = now });
        return await db.SaveChangesAsync();
    });

    [Theory]
    [InlineData("this is his wife, all good thank you")]
    [InlineData("soy la esposa de Juan, todo bien gracias")]
    public async Task Calm_words_of_a_relative_are_looked_at_by_a_person(string text)
    {
        await Text(text);
        Assert.True((await Report()).Tier >= Tier.SameDay);
        Assert.Contains(await Why(), w => w.StartsWith("somebody else may be writing", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("all good thank you")]
    [InlineData("Hola, soy su paciente, ¿a qué hora es mi cita?")]
    [InlineData("escribo por mi cita del martes")]
    [InlineData("what time is it for my appointment?")]
    public async Task The_patients_own_calm_words_are_not_taken_for_somebody_elses(string text)
    {
        await Text(text);
        Assert.DoesNotContain(await Why(), w => w.StartsWith("somebody else may be writing", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("you have the wrong number but her lip has gone white and cold, it's for my mum", "This may be an emergency")]
    [InlineData("número equivocado, pero a mi mamá se le puso blanco el labio y lo tiene frío", "Puede ser una emergencia")]
    public async Task A_sign_beside_a_wrong_number_is_answered_and_paged_and_care_texts_to_it_end(string text, string reply)
    {
        var answers = await Text(text);
        Assert.StartsWith(reply, answers[0], StringComparison.Ordinal);
        Assert.Contains(answers, a => a.StartsWith("Thank you. Care texts to this number are stopped", StringComparison.Ordinal) || a.StartsWith("Gracias por avisar. No enviamos mas avisos", StringComparison.Ordinal));
        Assert.True(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
        Assert.NotEmpty(await _portal.Read(db => db.Outgoing.Where(o => o.To == OnCall).ToListAsync()));
    }

    [Theory]
    [InlineData("STOP", "it's for my mum, she can't breathe", "This may be an emergency")]
    [InlineData("BAJA", "es para mi mamá, no puede respirar", "Puede ser una emergencia")]
    public async Task After_STOP_a_relatives_sign_is_still_answered_and_paged(string stop, string text, string reply)
    {
        await Text(stop);
        Assert.True(await _portal.Read(db => db.HasStopped(Listening_portal.Patient, default)));
        Assert.StartsWith(reply, (await Text(text))[0], StringComparison.Ordinal);
        Assert.NotEmpty(await _portal.Read(db => db.Outgoing.Where(o => o.To == OnCall).ToListAsync()));
    }

    [Fact]
    public async Task On_another_patients_phone_it_is_that_phone_that_is_answered_and_staff_read_that_somebody_else_may_write()
    {
        Assert.StartsWith("This may be an emergency", (await Text("its Mira, my phone is dead so this is on Anas. I cant see out of my left eye", Sister))[0], StringComparison.Ordinal);
        Assert.Equal(Sister, (await Report()).Number);
        Assert.Contains(await Why(), w => w.StartsWith("somebody else may be writing", StringComparison.Ordinal));
        Assert.DoesNotContain(await _portal.Read(db => db.Outgoing.ToListAsync()), o => o.To == Listening_portal.Patient);
    }

    private async Task<List<string>> Text(string words, string from = Listening_portal.Patient)
    {
        Assert.Equal(200, await _portal.Deliver($"SM-else-{_count++}", words, from: from));
        await _portal.RunJobs();
        return await _portal.Read(db => db.Outgoing.Where(o => o.To == from && o.Kind == OutgoingKind.SafetyReply).OrderBy(o => o.MadeAt).ThenBy(o => o.Key).Select(o => o.Text).ToListAsync());
    }

    private Task<EscalationRow> Report() => _portal.Read(db => db.Escalations.SingleAsync());

    private async Task<IReadOnlyList<string>> Why() =>
        [.. (await _portal.Read(db => db.Readings.Select(r => r.Json).ToListAsync())).SelectMany(json => JsonSerializer.Deserialize<Reading>(json)!.Floors)];
}
