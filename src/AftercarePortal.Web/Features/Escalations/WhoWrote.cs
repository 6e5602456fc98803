using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Whose words a message holds.</summary>
internal static class WhoWrote
{
    extension(PortalDb db)
    {
        /// <summary>The patient on whose page it was written, else the one with the number it came from; null: nobody is known by it, or several are, and a person looks who it is (H7).</summary>
        public async Task<PatientRow?> Writer(MessageRow message, CancellationToken stop)
        {
            if (message.PatientId is { } known) return await db.Patients.SingleAsync(p => p.Id == known, stop);
            return await db.Patients.Where(p => p.Number == message.From).Take(2).ToListAsync(stop) is [var one] ? one : null;
        }
    }
}
