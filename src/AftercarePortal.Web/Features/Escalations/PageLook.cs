using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>A page that waited is looked at right before it goes: nobody is woken for a report that somebody took or closed meanwhile, and nobody who was let go.</summary>
internal sealed class PageLook(PortalDb db) : ILastLook
{
    public async Task<IReadOnlyDictionary<Guid, LastLook>> At(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        var pages = texts.Select(t => (t.Id, Page: PageKey.Of(t.Key)!)).Where(t => t.Page is not null).ToList();
        if (pages.Count == 0) return new Dictionary<Guid, LastLook>();
        var ids = pages.ConvertAll(p => p.Page.Report);
        var reports = await db.Escalations.AsNoTracking().Where(e => ids.Contains(e.Id)).ToDictionaryAsync(e => e.Id, stop);
        var paged = (await db.OnCallAt(now, stop)).Numbers;
        return pages.ToDictionary(p => p.Id, p => (LastLook)(paged.ContainsKey(p.Page.Person) && IsWanted(reports[p.Page.Report], p.Page) ? new LastLook.Go() : new LastLook.Never()));
    }

    // A page asks to take it while nobody has it, or to confirm; its text also tells whoever took it meanwhile that it got worse. All else is word to whoever has it.
    private static bool IsWanted(EscalationRow report, PageKey page) =>
        report.ClosedAt is null && (page.What is PageKey.Paged ? report.TakenBy is null || (report.TakenBy == page.Person && (report.ConfirmRound is not null || page.Way is PageKey.ByText)) : report.TakenBy == page.Person);
}
