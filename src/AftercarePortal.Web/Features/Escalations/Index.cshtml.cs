using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>All open escalations of the clinic, heaviest and oldest first.</summary>
internal sealed class IndexModel(PortalDb db, TimeProvider time) : PageModel
{
    /// <summary>One open report.</summary>
    /// <param name="Waiting">How long ago its first message was written.</param>
    /// <param name="TakenBy">Full name; null: nobody.</param>
    public sealed record Line(Guid Id, string Ref, string TierName, string Waiting, string? TakenBy);

    /// <summary>A text that opened no report: somebody of the clinic can still read it.</summary>
    public sealed record Quiet(string Who, string Ago, string Text);

    private static readonly Duration Lately = Duration.FromDays(7);

    /// <summary>Somebody else handed over, and nobody has read it.</summary>
    public bool NoteWaits { get; private set; }
    /// <summary>Heaviest first, then the one that waits longest.</summary>
    public IReadOnlyList<Line> Open { get; private set; } = [];
    /// <summary>Texts read in the last seven days that opened no report, the latest first; <see cref="Most"/> of them.</summary>
    public IReadOnlyList<Quiet> ReadAsRoutine { get; private set; } = [];
    /// <summary>How many there are of them, shown or not.</summary>
    public int AllAsRoutine { get; private set; }
    /// <summary>Which hundred is shown, from 0: the latest.</summary>
    public int Part { get; private set; }
    /// <summary>How many are shown at once.</summary>
    public const int Most = 100;

    /// <param name="part">Which hundred of the texts read as routine, from 0.</param>
    public async Task OnGetAsync(int part, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var rows = await db.Escalations.AsNoTracking().Where(e => e.ClosedAt == null).ToListAsync(stop);
        var staff = await db.NamesOfStaff(stop);
        Open =
        [
            .. rows.OrderByDescending(e => e.Tier).ThenBy(e => e.WrittenAt)
                .Select(e => new Line(e.Id, e.Ref, e.Tier.Name(), Ago.Say(now - e.WrittenAt), e.TakenBy is null ? null : staff.Of(e.TakenBy))),
        ];
        var me = User.StaffId;
        NoteWaits = await db.HandOvers.AnyAsync(n => n.ReadAt == null && n.WrittenBy != me, stop);
        var since = now - Lately;
        var routine = db.Readings.AsNoTracking().Where(r => r.EscalationId == null && r.ReadAt >= since);
        AllAsRoutine = await routine.CountAsync(stop);
        Part = Math.Clamp(part, 0, Math.Max(0, (AllAsRoutine - 1) / Most));
        var quiet = await routine.Join(db.Messages, r => r.MessageId, m => m.Id, (r, m) => m).OrderByDescending(m => m.WrittenAt).ThenBy(m => m.Id).Skip(Part * Most).Take(Most).ToListAsync(stop);
        var numbers = quiet.Select(m => m.From).Distinct().ToList();
        var names = (await db.Patients.AsNoTracking().Where(p => numbers.Contains(p.Number)).ToListAsync(stop)).ToLookup(p => p.Number, p => p.Name);
        ReadAsRoutine = [.. quiet.Select(m => new Quiet(names.Contains(m.From) ? string.Join(" or ", names[m.From]) : m.From, Ago.Say(now - m.WrittenAt), m.Text))];
    }
}
