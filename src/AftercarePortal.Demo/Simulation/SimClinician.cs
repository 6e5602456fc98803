using AftercarePortal.Web.Features.Escalations;
using Microsoft.AspNetCore.Mvc.RazorPages;
using NodaTime;

namespace AftercarePortal.Demo.Simulation;

/// <summary>What one clinician does about one page: takes it by text or tap, twice, too late, passes it on, sends the wrong word, only looks, or sleeps.</summary>
internal sealed class SimClinician(SimWorld world, string person, string number, Guid report, string name)
{
    private int Of(string what, int below) => world.Chance.Of($"{what} {name}", below);

    public void Paged(Duration wait)
    {
        // Once faults have stopped, everybody answers: so every report must come to its end.
        var draw = world.FaultsOn ? Of("answer", 20) : Of("answer", 2) * 8;
        var at = world.Now + wait + Duration.FromSeconds(Of("answer after", world.FaultsOn ? 500 : 60));
        switch (draw)
        {
            case < 8:
                world.At(at, TextsTake);
                break;
            case < 11:
                world.At(at, Taps);
                if (draw == 10) world.At(at, Taps);
                break;
            case 11 or 12:
                world.At(at, () => Text("PASS " + Reference(), "PASS"));
                break;
            case 13:
                // Once faults have stopped nobody opts out of pages any more: texts must be able to reach somebody.
                world.At(at, () => world.FaultsOn ? Text("END", "END") : Task.CompletedTask);
                break;
            case 14 or 15:
                world.At(at, Looks);
                break;
            default:
                return;
        }

        if (!world.FaultsOn || Of("closes", 4) > 0) world.At(at + Duration.FromMinutes(2 + Of("closes after", 20)), () => Closes(tries: 3));
    }

    private Task TextsTake()
    {
        world.Story.Tried.Add((person, report));
        return Text("TAKE " + Reference(), "TAKE");
    }

    private Task Text(string words, string told)
    {
        world.Tell($"{person} answers {told}");
        return world.Story.Writes($"SMstaff {name}", number, SimClinic.PageNumber, words);
    }

    private Task Taps()
    {
        world.Tell($"{person} taps");
        world.Story.Tried.Add((person, report));
        return world.Request("a tap", s => s.GetRequiredService<TakeEscalation>().Run(report, person, Asked(), default));
    }

    // So does the preview of a link on a phone that nobody holds.
    private Task Looks()
    {
        world.Tell($"{person} only looks");
        return world.Request("a look", async s =>
        {
            var page = ActivatorUtilities.CreateInstance<DetailsModel>(s);
            page.PageContext = new PageContext { HttpContext = new DefaultHttpContext() };
            await page.OnGetAsync(report, late: false, default);
            if (world.Stage.Mutant?.TakesOnLook is true) await s.GetRequiredService<TakeEscalation>().Run(report, person, Asked(), default);
        });
    }

    private async Task Closes(int tries)
    {
        if (TakenBy() != person) return;
        var seen = (int)world.Rows.Count("SELECT count(*) FROM Readings WHERE EscalationId = $0", Id);
        world.At(world.Now + Duration.FromMinutes(1), async () =>
        {
            if (TakenBy() != person) return;
            world.Story.Seen[report] = seen;
            world.Tell($"{person} closes");
            await world.Request("a closing", s => s.GetRequiredService<CloseEscalation>().Run(report, person, "seen", world.Stage.Mutant?.ClosesUnseen is true ? int.MaxValue : seen, default));
            if (tries > 1) await Closes(tries - 1);
        });
        await Task.CompletedTask;
    }

    private string Id => report.ToString().ToUpperInvariant();

    private string Reference() => (string?)world.Rows.One("SELECT Ref FROM Escalations WHERE Id = $0", Id) ?? "";

    private int Asked() => (int)((long?)world.Rows.One("SELECT ConfirmRound FROM Escalations WHERE Id = $0", Id) ?? 0);

    private string? TakenBy() => (string?)world.Rows.One("SELECT TakenBy FROM Escalations WHERE Id = $0 AND ClosedAt IS NULL", Id);
}
