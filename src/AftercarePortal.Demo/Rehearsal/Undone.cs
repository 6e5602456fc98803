using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Demo.Rehearsal;

/// <summary>Looks through the stored rows and the carrier for whatever was due and was not done.</summary>
internal sealed class Undone(WrenfoldDemo demo)
{
    private static readonly Duration OnTime = Duration.FromMinutes(1);
    private readonly List<string> _faults = [];
    private readonly List<string> _summary = [];

    /// <summary>What was done in a few lines, and what was not; the second is empty after a good rehearsal.</summary>
    public async Task<(IReadOnlyList<string> Summary, IReadOnlyList<string> Faults)> Look()
    {
        await using var scope = demo.Parts.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter((await db.Clinics.AsNoTracking().SingleAsync()).Id);
        var outgoing = await db.Outgoing.AsNoTracking().ToListAsync();
        Steps(await db.Steps.AsNoTracking().OrderBy(s => s.DueAt).ToListAsync(), outgoing);
        Messages(outgoing);
        await Jobs(db);
        await Reports(db);
        var readings = db.Readings;
        var unread = await db.Messages.CountAsync(m => m.To != Seed.PageNumber && !readings.Any(r => r.MessageId == m.Id));
        Fault(unread > 0, $"{unread} messages of the patient were kept and never read.");
        return (_summary, _faults);
    }

    private void Steps(List<StepRow> steps, List<OutgoingRow> outgoing)
    {
        Fault(!steps.Exists(s => s.State is StepState.Sent), "No step of the aftercare plan was sent.");
        foreach (var step in steps.Where(s => s.State is StepState.Planned && s.DueAt <= demo.Clock.Now)) _faults.Add($"Step {step.StepId}, due {demo.Wall.Say(step.DueAt)}, was neither sent nor dropped.");
        foreach (var step in steps.Where(s => s.State is StepState.Sent))
        {
            var text = outgoing.Find(o => o.Key == $"step:{step.Id}");
            Fault(text is null, $"Step {step.StepId} counts as sent, and no text was stored.");
            Fault(text?.MadeAt > step.DueAt + OnTime, $"Step {step.StepId}, due {demo.Wall.Say(step.DueAt)}, was late: {demo.Wall.Say(text?.MadeAt ?? default)}.");
        }

        _summary.Add($"Steps: {string.Join(", ", steps.GroupBy(s => s.State).Select(g => $"{g.Count()} {Words(g.Key)}"))}.");
        _summary.AddRange(steps.Where(s => s.State is not StepState.Sent && s.DueAt <= demo.Clock.Now).Select(s => $"  {s.StepId}, due {demo.Wall.Say(s.DueAt)}: {Words(s.State)}"));
    }

    private void Messages(List<OutgoingRow> outgoing)
    {
        var reached = demo.Carrier.Lines.Select(l => l.Sid).ToHashSet();
        foreach (var text in outgoing.Where(o => o.State is not OutgoingState.HeldBack))
        {
            Fault(text.State is not OutgoingState.Accepted, $"A message ({text.Kind}) of {demo.Wall.Say(text.MadeAt)} was not handed over: {text.State}.");
            Fault(text.State is OutgoingState.Accepted && !reached.Contains(text.CarrierId ?? ""), $"A message ({text.Kind}) of {demo.Wall.Say(text.MadeAt)} counts as handed over, and the carrier does not have it.");
        }

        var ours = outgoing.Select(o => o.CarrierId).ToHashSet();
        var twice = demo.Carrier.Lines.Count(l => !ours.Contains(l.Sid));
        Fault(twice > 0, $"The carrier holds {twice} messages no row tells of.");
        _summary.Add($"Messages: {outgoing.Count} stored, {reached.Count} with the carrier.");
    }

    private async Task Jobs(PortalDb db)
    {
        var now = demo.Clock.Now;
        foreach (var job in await db.Jobs.AsNoTracking().Where(j => j.DoneAt == null && (j.ParkedAt != null || j.DueAt <= now)).ToListAsync())
            _faults.Add($"A job ({job.Kind}) due {demo.Wall.Say(job.DueAt)} {(job.ParkedAt is null ? "was not done" : "was given up")} after {job.Attempts} tries.");
        _summary.Add($"Jobs: {await db.Jobs.CountAsync(j => j.DoneAt != null)} done.");
    }

    private async Task Reports(PortalDb db)
    {
        var names = await db.NamesOfStaff(default);
        var reports = await db.Escalations.AsNoTracking().ToListAsync();
        Fault(reports.Count == 0, "The warning sign opened no report.");
        foreach (var report in reports.Where(r => r.ClosedAt is null)) _faults.Add($"Report {report.Ref} of {demo.Wall.Say(report.OpenedAt)} is still open.");
        foreach (var report in reports.Where(r => r.ClosedAt is not null))
            _summary.Add($"Report {report.Ref}: opened {demo.Wall.Say(report.OpenedAt)}, taken by {names.Of(report.TakenBy ?? "")} {demo.Wall.Say(report.TakenAt ?? default)}, closed {demo.Wall.Say(report.ClosedAt ?? default)}: {report.Outcome}");
    }

    private void Fault(bool isOne, string what)
    {
        if (isOne) _faults.Add(what);
    }

    private static string Words(StepState state) => state switch
    {
        StepState.Planned => "still planned",
        StepState.Sent => "sent",
        StepState.LeftOut => "left out of the plan (a safer step that day, too close to another, or due before signing)",
        StepState.Merged => "dropped: late, and a newer step speaks instead",
        StepState.TooLate => "dropped: too late to be of use",
        StepState.Stopped => "not sent: the patient had asked for no texts",
        StepState.NotAgreed => "not sent: the patient never agreed to texts",
        StepState.TakenOver => "closed: a later treatment's plan took over",
        _ => throw new ArgumentOutOfRangeException(nameof(state)),
    };
}
