using System.Globalization;
using System.Net;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Tests.Intake;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Outcomes;

/// <summary>One invented person from the intake to the chair, everything through the portal's own pages.</summary>
internal sealed class Course_of(Portal_with_staff portal, Guid clinic, HttpClient desk, string name, int line)
{
    public Intake_of Person { get; } = new(portal, clinic);

    public Guid IntakeId { get; private set; }

    public Guid PatientId { get; private set; }

    /// <summary>Fills the intake with these wishes up to its result, and sends it; the page before sending.</summary>
    public async Task<string> Quoted(string[] regions, string product = "caha-filler", string strength = "clear", bool send = true)
    {
        await Person.Start();
        await Person.Born(1988);
        for (var i = 0; i < 60 && !Person.At.EndsWith("/check", StringComparison.Ordinal); i++)
        {
            var page = await Person.Show();
            bool Offers(string code) => page.Contains($"name=\"choice\" value=\"{code}\"", StringComparison.Ordinal);
            if (Offers("jaw-body")) await Person.Answer([.. regions.Select(r => ("choice", r))]);
            else if (Offers("caha-filler")) await Person.Answer(("choice", product));
            else if (Offers("subtle")) await Person.Answer(("choice", strength));
            else if (new[] { "none", "no", "female" }.FirstOrDefault(Offers) is { } calm) await Person.Answer(("choice", calm));
            else await Person.Skip();
        }

        await Person.Post(Person.At);
        var shown = await Person.Show();
        if (!send) return shown;
        await Person.Send(name, $"(303) 555-01{line:00}", mayText: false);
        IntakeId = await Person.InClinic(db => db.Intakes.Where(i => i.Name == name).Select(i => i.Id).SingleAsync());
        return shown;
    }

    public async Task Invited()
    {
        var decided = await Portal_with_staff.Send(desk, $"/Review/{IntakeId}", ("Choice", "Accepted"), ("Reason", "Seen"), ("Words", "Please come."));
        Assert.Equal(HttpStatusCode.Redirect, decided.StatusCode);
        PatientId = await Person.InClinic(db => db.Patients.Where(p => p.Name == name).Select(p => p.Id).SingleAsync());
    }

    public async Task<HttpResponseMessage> Examined(params (string Field, string Value)[] found) =>
        await Portal_with_staff.Send(desk, $"/Review/Examine/{IntakeId}", [.. found.Select(f => ("Form." + f.Field, f.Value))]);

    /// <summary>Signs a record of today; the address of the signed record.</summary>
    public async Task<string> Treated(params (string Region, string Side, double Ml)[] amounts) => await Treated(desk, "CaHA filler", amounts);

    public Task<string> Treated(HttpClient injector, string product, params (string Region, string Side, double Ml)[] amounts) => Treated(injector, product, "Demo CaHA 1.5 mL", amounts);

    public async Task<string> Treated(HttpClient injector, string product, string called, params (string Region, string Side, double Ml)[] amounts)
    {
        var today = DateOnly.FromDateTime(portal.Clock.GetUtcNow().AddHours(-5).Date);
        var signed = await Portal_with_staff.Send(injector, $"/Treatment/Record/{PatientId}",
        [
            ("TreatedOn", today.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)), ("NoConsent", "OnPaper"),
            .. amounts.SelectMany((a, i) => new[]
            {
                ($"Lines[{i}].Region", a.Region), ($"Lines[{i}].Side", a.Side), ($"Lines[{i}].Product", product), ($"Lines[{i}].ProductName", called), ($"Lines[{i}].Lot", "D-7"),
                ($"Lines[{i}].Expiry", "2039-01-31"), ($"Lines[{i}].Amount", a.Ml.ToString("0.00", CultureInfo.InvariantCulture)), ($"Lines[{i}].Plane", "Supraperiosteal"), ($"Lines[{i}].Device", "22 G cannula"),
            }),
        ]);
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
        return signed.Headers.Location!.OriginalString;
    }

    /// <summary>Both sides of the jaw's body alike.</summary>
    public Task<string> JawTreated(double each) => Treated(("JawBody", "Left", each), ("JawBody", "Right", each));
}
