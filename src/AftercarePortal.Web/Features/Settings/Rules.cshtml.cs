using System.Diagnostics;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>The rules at which practice differs, what the clinic chose, and every earlier choice.</summary>
internal sealed class RulesModel(PortalDb db, ContentLibrary content, ChooseRule choose, ClinicClock clock) : PageModel
{
    /// <summary>One kept choice.</summary>
    /// <param name="At">As the clock on the clinic's wall showed it.</param>
    public sealed record Kept(string Means, string By, string At, string Reason, string Rules);

    /// <summary>One rule with what was chosen, latest first.</summary>
    /// <param name="Now">Id of the choice in use; null: as it stands.</param>
    /// <param name="Gone">A choice that the rules in force no longer offer; null when there is none.</param>
    public sealed record Line(CandidacyRule Rule, string? Now, string? Gone, IReadOnlyList<Kept> History);

    [BindProperty] public string? Rule { get; set; }
    [BindProperty] public string? Choice { get; set; }
    [BindProperty] public string? Reason { get; set; }
    [BindProperty] public int Seen { get; set; }

    public IReadOnlyList<Line> Lines { get; private set; } = [];
    public IReadOnlyList<CandidacyRule> WithoutChoice { get; private set; } = [];
    public string Version { get; private set; } = "";
    public IReadOnlyList<string> Faults { get; private set; } = [];
    /// <summary>Who chose since the page was opened, or null.</summary>
    public string? Meanwhile { get; private set; }

    public Task OnGetAsync(CancellationToken stop) => Load(stop);

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        switch (await choose.Run(Rule, Choice, Seen, Reason, User.Identity!.Name!, stop))
        {
            case ChooseRule.Outcome.Kept: return RedirectToPage("Rules", null, null, $"rule-{Rule}");
            case ChooseRule.Outcome.Refused refused: Faults = refused.Faults; break;
            case ChooseRule.Outcome.Meanwhile other: Meanwhile = other.By; break;
            default: throw new UnreachableException();
        }

        await Load(stop);
        return Page();
    }

    private async Task Load(CancellationToken stop)
    {
        Version = content.Candidacy.Version.ToString();
        WithoutChoice = [.. content.Candidacy.Rules.Where(r => r is { ClinicDecides: true, Choices.Count: 0 })];
        var rows = (await db.RuleChoices.AsNoTracking().OrderByDescending(c => c.Number).ToListAsync(stop)).ToLookup(c => c.RuleId);
        var lines = new List<Line>();
        foreach (var rule in content.Candidacy.Rules.Where(r => r.Choices.Count > 0))
        {
            var history = new List<Kept>();
            foreach (var row in rows[rule.Id]) history.Add(new(row.Means, row.ChosenBy, await clock.Say(row.ChosenAt), row.Reason, row.Rules));
            var now = rows[rule.Id].FirstOrDefault();
            var offered = rule.Choices.Any(c => c.Id == now?.Choice);
            lines.Add(new(rule, offered ? now!.Choice : null, now?.Choice is not null && !offered ? now.Means : null, history));
        }

        Lines = lines;
    }
}
