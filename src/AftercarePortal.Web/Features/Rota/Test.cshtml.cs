using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Where the link of a test page leads. Opening it takes nothing; a tap of whoever it went to does.</summary>
internal sealed class TestModel(PortalDb db, ProveContact prove, ClinicClock clock, TimeProvider time) : PageModel
{
    public Guid Id { get; private set; }
    public string Name { get; private set; } = "";
    public string Standing { get; private set; } = "";
    public bool CanTake { get; private set; }

    public async Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop)
    {
        if (await Find(id, stop) is not { } test) return NotFound();
        Id = id;
        Name = (await db.NamesOfStaff(stop)).Of(test.Person);
        CanTake = test.TakenAt is null && test.Person == User.StaffId;
        Standing = test switch
        {
            { TakenAt: { } taken } => $"Taken {await clock.Say(taken)}.",
            { MissedAt: not null } => $"Not taken by {await clock.Say(test.DueAt)}; others were warned.",
            _ => $"To be taken by {await clock.Say(test.DueAt)}.",
        };
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop)
    {
        if (await Find(id, stop) is not { } test || test.Person != User.StaffId) return NotFound();
        await prove.Run(test.Person, test.Number, ContactWay.Link, time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
        return RedirectToPage(new { id });
    }

    private Task<TestPageRow?> Find(Guid id, CancellationToken stop) => db.TestPages.AsNoTracking().SingleOrDefaultAsync(t => t.Id == id, stop);
}
