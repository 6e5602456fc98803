using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Rota;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Who of staff answers from a number.</summary>
internal static class WhoAnswers
{
    extension(PortalDb db)
    {
        /// <summary>Staff id, or null: nobody who can be paged has this number. Of several on one handset the one who was paged last: the answer is to that page.</summary>
        /// <param name="report">The report that is answered; null: not told which, any open one.</param>
        public async Task<string?> WhoAnswersFrom(string number, Guid? report, Instant now, CancellationToken stop)
        {
            var people = (await db.OnCallAt(now, stop)).PeopleAt(number);
            if (people.Count < 2) return people.Count == 0 ? null : people[0];
            var about = report is { } one ? db.Escalations.Where(e => e.Id == one) : db.Escalations.Where(e => e.ClosedAt == null);
            return await db.EscalationEvents.AsNoTracking().Where(e => e.What == EscalationEvent.Paged && people.Contains(e.Person!) && about.Any(r => r.Id == e.EscalationId))
                .OrderByDescending(e => e.At).ThenByDescending(e => e.Id).Select(e => e.Person).FirstOrDefaultAsync(stop) ?? people[0];
        }
    }
}
