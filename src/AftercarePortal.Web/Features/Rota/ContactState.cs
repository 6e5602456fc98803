using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Whether pages reach one person.</summary>
/// <param name="Person">Staff id.</param>
/// <param name="Number">E.164 number pages go to.</param>
/// <param name="TextProven">When a text was last answered from this number; null: never.</param>
/// <param name="CallProven">When a key was last pressed in a call to it; null: never.</param>
/// <param name="Missed">When a test page was not taken that nothing made up for since; null: none.</param>
/// <param name="Troubles">What is wrong with the number.</param>
internal sealed record ContactState(string Person, string Number, Instant? TextProven, Instant? CallProven, Instant? Missed, IReadOnlyList<NumberTroubleRow> Troubles)
{
    /// <summary>Pages may not reach this person: the next is paged with them.</summary>
    public bool IsDoubtful => Missed is not null || Unproven || Troubles.Count > 0;

    /// <summary>The number is new, and the test page that went to it was not taken yet.</summary>
    public bool Unproven { get; init; }
}

internal static class ContactStateReading
{
    private static readonly Duration Lately = Duration.FromDays(31);

    extension(PortalDb db)
    {
        /// <summary>Whether pages reach each of these people.</summary>
        /// <param name="numbers">E.164 by staff id.</param>
        public async Task<IReadOnlyList<ContactState>> ContactStates(IReadOnlyDictionary<string, string> numbers, Instant now, CancellationToken stop)
        {
            var since = now - Lately;
            var proofs = await db.ContactProofs.AsNoTracking().ToListAsync(stop);
            var missed = (await db.TestPages.AsNoTracking().Where(t => t.AskedAt > since && t.MissedAt != null && t.TakenAt == null).ToListAsync(stop)).ToLookup(t => (t.Person, t.Number));
            var proving = (await db.TestPages.AsNoTracking().Where(t => t.Key.StartsWith(ChangeNumber.TestKey) && t.TakenAt == null).Select(t => new { t.Person, t.Number }).ToListAsync(stop)).ConvertAll(t => (t.Person, t.Number));
            var theirs = numbers.Values.Distinct().ToList();
            var troubles = (await db.LastingTroubles.AsNoTracking().Where(t => theirs.Contains(t.Number)).OrderBy(t => t.At).ToListAsync(stop)).ToLookup(t => t.Number);
            return
            [
                .. numbers.Select(n =>
                {
                    Instant? Proven(params ContactWay[] ways) => proofs.Where(p => p.Person == n.Key && p.Number == n.Value && ways.Contains(p.Way)).Max(p => (Instant?)p.At);
                    return new ContactState(n.Key, n.Value, Proven(ContactWay.Text, ContactWay.Link), Proven(ContactWay.Call), missed[(n.Key, n.Value)].Max(t => t.MissedAt), [.. troubles[n.Value]]) { Unproven = proving.Contains((n.Key, n.Value)) };
                }),
            ];
        }
    }
}
