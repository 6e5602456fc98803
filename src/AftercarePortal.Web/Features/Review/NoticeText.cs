using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>A notice about an intake, asked about right before it goes: by the morning the person may have another number, or want no more texts.</summary>
internal sealed class NoticeText(PortalDb db) : ILastLook
{
    public async Task<IReadOnlyDictionary<Guid, LastLook>> At(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        var looked = new Dictionary<Guid, LastLook>();
        foreach (var text in texts.Where(t => t.Kind is OutgoingKind.Notice))
        {
            if (PrivatePage.IntakeOf(text.Key) is not { } id || await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == id, stop) is not { Number: not null } intake) continue;
            var reached = await db.ReachedOf(intake, stop);
            if (reached.MayText) text.To = reached.Number;
            looked[text.Id] = reached.MayText ? new LastLook.Go() : new LastLook.Never();
        }

        return looked;
    }
}
