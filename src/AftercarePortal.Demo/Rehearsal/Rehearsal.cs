using System.Net;
using System.Text;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Demo.Rehearsal;

/// <summary>Plays Mira's fourteen days on the demo clock, over the carrier's HTTP, and says what was not done.</summary>
/// <param name="patience">Real time one stretch of the play may take.</param>
internal sealed class Rehearsal(WrenfoldDemo demo, TextWriter output, TimeSpan patience)
{
    private const string Warning = "my skin has gone white where you injected and it hurts more and more";
    private static readonly Dictionary<string, string> Names = new()
    {
        [Seed.PatientNumber] = "Mira Sand", [Seed.FirstOnCall] = "Iris Hale", [Seed.SecondOnCall] = "Tomas Reed",
    };

    private readonly List<string> _notDone = [];
    private int _shown;

    /// <summary>Plays it all. Returns 0 when everything due was done, else 1 after a list of what was not.</summary>
    public async Task<int> Play()
    {
        demo.Days.AfterEachStop = ShowNewLines;
        Show("Iris Hale", "signed Mira Sand's treatment record; the aftercare is planned from it");
        try
        {
            await Days();
        }
        catch (Stuck stuck)
        {
            _notDone.Add(stuck.Message);
        }

        await ShowNewLines();
        var (summary, undone) = await new Undone(demo).Look();
        _notDone.AddRange(undone);
        output.WriteLine();
        foreach (var line in summary) output.WriteLine(line);
        output.WriteLine(_notDone.Count == 0 ? "Everything due was done." : $"NOT DONE ({_notDone.Count}):");
        foreach (var fault in _notDone) output.WriteLine($"  - {fault}");
        return _notDone.Count == 0 ? 0 : 1;
    }

    private async Task Days()
    {
        await PassTo(1, new(10, 15));
        await Writes("thanks, a bit sore but all fine");
        await PassTo(2, new(23, 40));
        await Writes(Warning);
        await SomebodyTakesIt();
        await PassTo(4, new(12, 0));
        await Writes("STOP");
        await PassTo(5, new(18, 0));
        await Writes("START");
        await PassTo(14, new(23, 59));
    }

    private async Task SomebodyTakesIt()
    {
        Expect(LastCallTo(Seed.FirstOnCall) is not null, "Iris Hale, first on call, was called about the warning sign");
        Expect(demo.Carrier.Lines.Any(l => l.To == Seed.FirstOnCall && !l.IsCall), "Iris Hale, first on call, was texted about the warning sign");
        Show("Iris Hale", "does not answer");
        for (var minutes = 0; minutes < 15 && LastCallTo(Seed.SecondOnCall) is null; minutes++) await PassOn(Duration.FromMinutes(1));
        if (LastCallTo(Seed.SecondOnCall) is not { } call) throw new Stuck("Tomas Reed, second on call, was not called within 15 minutes.");
        Show("Tomas Reed", "presses 1 during the call: takes it");
        await demo.Carrier.Press(call.Sid, "1");
        await PassOn(Duration.FromMinutes(8));
        using var browser = new StaffBrowser(demo.PortalUrl);
        Expect(await browser.SignIn("tomas", Seed.Password), "Tomas Reed signed in");
        var report = $"/Escalations/{await OpenReport()}";
        var closed = await browser.Send(report, report + "?handler=Close", ("outcome", "Rang her at once; seen at the clinic that night."));
        Expect(closed is HttpStatusCode.Redirect, "Tomas Reed closed the report with an outcome");
        Show("Tomas Reed", "closes the report with an outcome");
        await PassOn(Duration.Zero);
    }

    private async Task Writes(string text)
    {
        Show("Mira Sand", $"writes: {text}");
        Expect(await demo.Carrier.Text(Seed.PatientNumber, Seed.ClinicNumber, text) is HttpStatusCode.OK, $"the portal took Mira Sand's text of {demo.Wall.Say(demo.Clock.Now)}");
        await PassOn(Duration.Zero);
    }

    private Task PassTo(int day, LocalTime time) => PassTo(demo.Wall.At(day, time));

    private Task PassOn(Duration by) => PassTo(demo.Clock.Now + by);

    private async Task PassTo(Instant at)
    {
        if (!await demo.Days.PassTo(at, patience)) throw new Stuck($"The play stopped at {demo.Wall.Say(at)}: work that was due stayed undone for {patience.TotalSeconds:0} seconds.");
    }

    private void Expect(bool done, string what)
    {
        if (!done) _notDone.Add($"Not seen: {what}.");
    }

    private LoopbackCarrier.Line? LastCallTo(string number) => demo.Carrier.Lines.LastOrDefault(l => l.IsCall && l.To == number);

    private async Task<Guid> OpenReport()
    {
        await using var scope = demo.Parts.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter((await db.Clinics.SingleAsync()).Id);
        return await db.Escalations.Where(e => e.ClosedAt == null).Select(e => e.Id).SingleOrDefaultAsync();
    }

    private Task ShowNewLines()
    {
        foreach (var line in demo.Carrier.Lines.Skip(_shown).ToList())
        {
            _shown++;
            Show("portal", $"{(line.IsCall ? "calls" : "texts")} {Names.GetValueOrDefault(line.To, line.To)}: {(line.IsCall ? PhonePage.Spoken(line.Text) : line.Text)}");
        }

        return Task.CompletedTask;
    }

    private void Show(string who, string what)
    {
        var line = new StringBuilder(what).Replace('\n', ' ').Replace('\r', ' ').ToString();
        output.WriteLine($"{demo.Wall.Say(demo.Clock.Now)}  {who,-10}  {(line.Length > 150 ? line[..149] + "…" : line)}");
    }

    private sealed class Stuck(string why) : Exception(why);
}
