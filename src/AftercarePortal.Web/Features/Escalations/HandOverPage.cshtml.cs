using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The notes between shifts: the last ones, what is open, and the form for the next.</summary>
internal sealed class HandOverModel(PortalDb db, HandOver handOver, ClinicClock clock) : PageModel
{
    private const int Shown = 6;

    /// <summary>A report as a note lists it.</summary>
    /// <param name="Now">How it stands now, in words.</param>
    public sealed record Report(Guid Id, string Ref, string Now);
    /// <summary>One note, in words.</summary>
    /// <param name="Writer">Full name.</param>
    /// <param name="When">When it was written, on the clinic's clock.</param>
    /// <param name="Reports">Those that were open then.</param>
    /// <param name="ReadBy">Who read it and when, in a sentence; null: nobody has.</param>
    /// <param name="CanRead">Somebody else than who looks wrote it.</param>
    public sealed record Note(Guid Id, string Writer, string When, string Text, IReadOnlyList<Report> Reports, string? ReadBy, bool CanRead);

    /// <summary>The last ones and all that wait to be read, the latest first.</summary>
    public IReadOnlyList<Note> Notes { get; private set; } = [];
    /// <summary>Reports that go with the next note, the one that waits longest first.</summary>
    public IReadOnlyList<Report> Open { get; private set; } = [];
    /// <summary>Why the note was not kept, in words; null: nothing was wrong.</summary>
    public string? Fault { get; private set; }
    /// <summary>The note as typed; may be empty where a report is open.</summary>
    [BindProperty] public string? Text { get; set; }

    public Task OnGetAsync(CancellationToken stop) => Load(stop);

    public async Task<IActionResult> OnPostWriteAsync(CancellationToken stop)
    {
        Fault = await handOver.Write(User.StaffId, Text, stop);
        if (Fault is null) return RedirectToPage();
        await Load(stop);
        return Page();
    }

    public async Task<IActionResult> OnPostReadAsync(Guid id, CancellationToken stop)
    {
        await handOver.Read(id, User.StaffId, stop);                              // somebody else was first: the page says who
        return RedirectToPage();
    }

    private async Task Load(CancellationToken stop)
    {
        var names = await db.NamesOfStaff(stop);
        var latest = await db.HandOvers.AsNoTracking().OrderByDescending(n => n.WrittenAt).ThenByDescending(n => n.Id).Take(Shown).ToListAsync(stop);
        var unread = await db.HandOvers.AsNoTracking().Where(n => n.ReadAt == null).ToListAsync(stop);
        var rows = latest.Concat(unread).DistinctBy(n => n.Id).OrderByDescending(n => n.WrittenAt).ThenByDescending(n => n.Id).ToList();
        var ids = rows.SelectMany(n => n.OpenReports.Split(' ', StringSplitOptions.RemoveEmptyEntries)).Select(Guid.Parse).ToHashSet();
        var reports = (await db.Escalations.AsNoTracking().Where(e => e.ClosedAt == null || ids.Contains(e.Id)).OrderBy(e => e.WrittenAt).ToListAsync(stop));
        Open = [.. reports.Where(e => e.ClosedAt is null).Select(e => Of(e, names))];
        var notes = new List<Note>();
        foreach (var row in rows)
        {
            var read = row.ReadAt is { } at ? $"Read by {names.Of(row.ReadBy!)}, {await clock.Say(at)}." : null;
            notes.Add(new(row.Id, names.Of(row.WrittenBy), await clock.Say(row.WrittenAt), row.Text, [.. reports.Where(e => row.OpenReports.Contains(e.Id.ToString(), StringComparison.Ordinal)).Select(e => Of(e, names))], read, row.WrittenBy != User.StaffId));
        }

        Notes = notes;
    }

    private static Report Of(EscalationRow row, StaffNames names) => new(row.Id, row.Ref, row switch
    {
        { ClosedAt: not null } => "closed since",
        { TakenBy: { } taker } => $"{row.Tier.Name()}, taken by {names.Of(taker)}",
        _ => $"{row.Tier.Name()}, nobody has it",
    });
}
