using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Intake;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.House;

/// <summary>One person from intake to a closed report, with words nobody else uses: they may stand on pages, and nowhere else.</summary>
public sealed partial class Words_where_they_do_not_belong
{
    // Each is typed somewhere below.
    private static readonly string[] Telltales = ["Quorn", "marzipan", "2125550177", "kestrel", "heron", "dunlin", "bittern", "plover", "LOTSWIFT"];

    [Fact]
    public async Task No_word_of_a_patient_reaches_a_log_line_an_address_a_title_a_job_or_a_text_to_staff()
    {
        await using var portal = await Portal_with_staff.Open("--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9");
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        var seen = new List<string>();
        var person = new Intake_of(portal, clinic);
        seen.Add(await person.Result("my skin has gone white like marzipan where you injected me"));
        await person.Send("Zebedee Quorn");
        seen.Add(await person.Show(person.Link));
        await person.RunDueJobs();                                        // the carrier cannot be reached: failures are logged, too

        var desk = await portal.SignedIn(clinic, "mara");
        var intake = await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync());
        var review = $"/Review/{intake}";
        seen.Add(await desk.GetStringAsync("/Review"));
        seen.Add(await Open(await Portal_with_staff.Send(desk, review, ("Choice", "Accepted"), ("Reason", "kestrel"), ("Words", "heron")), desk, review));
        var patient = await person.InClinic(db => db.Patients.SingleAsync(p => p.Name == "Zebedee Quorn"));
        var record = $"/Treatment/Record/{patient.Id}";
        var signed = await Portal_with_staff.Send(desk, record,
            ("TreatedOn", "2031-05-14"), ("NoConsent", "SomethingElse"), ("NoConsentWords", "dunlin"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "bittern"),
            ("Lines[0].Lot", "LOTSWIFT"), ("Lines[0].Expiry", "2031-06-30"), ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"));
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
        seen.Add(signed.Headers.Location!.OriginalString);
        seen.Add(await desk.GetStringAsync(signed.Headers.Location));
        await Portal_with_staff.Send(desk, signed.Headers.Location.OriginalString, ("Text", "plover"));
        await person.RunDueJobs();

        var report = await person.InClinic(db => db.Escalations.Select(e => e.Id).SingleAsync());
        seen.Add(await desk.GetStringAsync("/Escalations"));
        seen.Add(await desk.GetStringAsync($"/Escalations/{report}"));
        await Portal_with_staff.Send(desk, $"/Escalations/{report}?handler=Take");
        await Portal_with_staff.Send(desk, $"/Escalations/{report}?handler=Close", ("Outcome", "kestrel again"));
        await person.RunDueJobs();

        var everywhere = string.Join('\n',
        [
            portal.Log.All,
            .. seen.SelectMany(page => Title().Matches(page).Concat(Address().Matches(page)).Select(m => m.Value)),
            .. seen.Where(s => s.StartsWith('/')),
            .. await person.InClinic(db => db.Jobs.Select(j => j.Kind + " " + j.Subject + " " + j.LastFailure).ToListAsync()),
            .. await person.InClinic(db => db.Outgoing.Where(o => o.Kind == OutgoingKind.PageText || o.Kind == OutgoingKind.PageCall || o.Kind == OutgoingKind.Notice).Select(o => o.Text).ToListAsync()),
        ]);
        Assert.All(Telltales, word => Assert.DoesNotContain(word, everywhere, StringComparison.OrdinalIgnoreCase));
        Assert.DoesNotContain(person.Link, portal.Log.All, StringComparison.Ordinal);
        // The net is not empty: pages held the words, the log held lines, addresses were found.
        Assert.Contains(seen, page => page.Contains("marzipan", StringComparison.Ordinal));
        Assert.Contains("intakes", everywhere, StringComparison.OrdinalIgnoreCase);
        Assert.NotEmpty(portal.Log.All);
    }

    private static async Task<string> Open(HttpResponseMessage sent, HttpClient desk, string page)
    {
        Assert.Equal(HttpStatusCode.Redirect, sent.StatusCode);
        return await desk.GetStringAsync(page);
    }

    [GeneratedRegex("<title>.*?</title>", RegexOptions.Singleline)]
    private static partial Regex Title();

    [GeneratedRegex("(?:href|src|action)=\"(?!tel:)[^\"]*\"")]
    private static partial Regex Address();
}
