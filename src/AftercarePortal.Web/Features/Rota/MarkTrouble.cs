using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Marks a number of staff whom pages do not reach and warns of it, once while it lasts. Puts it into the current unit of work.</summary>
internal sealed class MarkTrouble(PortalDb db, WarnOfContact warn)
{
    public async Task Run(string number, ContactWay way, TroubleKind what, int? code, Instant now, CancellationToken stop)
    {
        if (await db.LastingTroubles.AnyAsync(t => t.Number == number && t.Way == way, stop)) return;
        var trouble = new NumberTroubleRow { Number = number, Way = way, What = what, Code = code, At = now };
        db.Add(trouble);
        await warn.Run($"trouble-{trouble.Id}", (await db.OnCallAt(now, stop)).PeopleAt(number).FirstOrDefault(), "page-trouble", now, stop);
    }
}
