using System.Net;
using System.Text.Json.Nodes;
using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Tests.Intake;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Staff;

/// <summary>Every form staff fill in takes any string: refused in words or kept, shown escaped, never a failure of ours.</summary>
public sealed class Hostile_strings_in_staff_forms
{
    private static IReadOnlyList<string> Strings()
    {
        var file = Path.Combine(OpenData.Folder, "naughty-strings", "blns.json");
        string[] ours = ["<script>alert(1)</script>", "\0", "'; DROP TABLE Patients;--", "{{7*7}}", "%00", new string('A', 5000)];
        return File.Exists(file) ? [.. ours, .. JsonNode.Parse(File.ReadAllText(file))!.AsArray().Select(row => (string)row!["text"]!)] : ours;
    }

    [Fact]
    [Source("Big List of Naughty Strings (shared data naughty-strings)", at: "every string in every field at once")]
    public async Task None_of_them_fails_and_none_comes_back_unescaped()
    {
        await using var portal = await Portal_with_staff.Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var person = new Intake_of(portal, clinic);
        await person.Result();
        await person.Send();
        var desk = await portal.SignedIn(clinic, "mara");
        var intake = await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync());
        var record = $"/Treatment/Record/{patient}";
        var signed = (await Portal_with_staff.Send(desk, record,
            ("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"),
            ("Lines[0].Lot", "D-1"), ("Lines[0].Expiry", "2031-06-30"), ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "cannula"))).Headers.Location!.OriginalString;
        var (recordPage, signedPage) = (await desk.GetStringAsync(record), await desk.GetStringAsync(signed));
        string[] fields = ["Region", "Side", "Product", "ProductName", "Scan", "Lot", "Expiry", "Amount", "Plane", "Device", "EntryPoint", "Same"];
        foreach (var s in Strings())
        {
            await Holds(await Portal_with_staff.Send(desk, $"/Review/{intake}", ("Choice", s), ("Until", s), ("Reason", s), ("Words", s)));
            await Holds(await Portal_with_staff.Post(desk, record, recordPage, [("TreatedOn", s), ("Events", s), ("NoConsent", s), ("NoConsentWords", s), ("Drawn[0].Product", s), ("Drawn[0].Lot", s), ("Drawn[0].Amount", s), ("Drawn[0].Diluent", s), .. fields.Select(f => ($"Lines[0].{f}", s))]));
            await Holds(await Portal_with_staff.Send(desk, "/Treatment/Lots", ("Typed", s)));
            await Holds(await Portal_with_staff.Post(desk, "/Treatment/Lots?handler=Message", recordPage, ("Lot", s), ("Patients", s), ("Approved", s), ("RecallId", s)));
            await Holds(await Portal_with_staff.Post(desk, signed, signedPage, ("Text", s)));
        }

        var outside = portal.Browser();
        foreach (var s in Strings().Take(12)) await Holds(await Portal_with_staff.Send(outside, "/Staff/SignIn", ("UserName", s), ("Password", s)));
    }

    private static async Task Holds(HttpResponseMessage answer)
    {
        Assert.True(answer.StatusCode is HttpStatusCode.OK or HttpStatusCode.Redirect or HttpStatusCode.BadRequest, $"{answer.StatusCode} from {answer.RequestMessage!.RequestUri!.AbsolutePath}");
        Assert.DoesNotContain("<script", await answer.Content.ReadAsStringAsync(), StringComparison.OrdinalIgnoreCase);
    }
}
