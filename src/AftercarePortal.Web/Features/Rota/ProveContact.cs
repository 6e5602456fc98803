using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Somebody answered a page: this way works. Takes their open test page to it and ends troubles of the number. Puts it into the current unit of work.</summary>
internal sealed class ProveContact(PortalDb db)
{
    /// <returns>Whether a test page was taken by it.</returns>
    public async Task<bool> Run(string person, string number, ContactWay way, Instant now, CancellationToken stop)
    {
        if (await db.ContactProofs.SingleOrDefaultAsync(p => p.Person == person && p.Way == way, stop) is { } proof) (proof.Number, proof.At) = (number, now);
        else db.Add(new ContactProofRow { Person = person, Way = way, Number = number, At = now });
        var wire = way is ContactWay.Call ? ContactWay.Call : ContactWay.Text;
        foreach (var trouble in await db.NumberTroubles.Where(t => t.Number == number && t.Way == wire && t.EndedAt == null).ToListAsync(stop)) trouble.EndedAt = now;
        var tests = await db.TestPages.Where(t => t.Person == person && t.Number == number && t.TakenAt == null).ToListAsync(stop);
        foreach (var test in tests) (test.TakenAt, test.TakenBy) = (now, way);
        return tests.Count > 0;
    }
}
