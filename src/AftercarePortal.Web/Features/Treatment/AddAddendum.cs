using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Adds to a signed record without changing it.</summary>
internal sealed class AddAddendum(PortalDb db, TimeProvider time)
{
    /// <summary>Most letters of one addendum.</summary>
    public const int MostLetters = 4000;

    public enum Outcome { Added, Empty, TooLong, NotFound }

    /// <param name="id">Id the form was given; sent twice, it is added once.</param>
    public async Task<Outcome> Run(Guid id, Guid treatmentId, string? text, string writtenBy)
    {
        if (!await db.Treatments.AnyAsync(t => t.Id == treatmentId)) return Outcome.NotFound;
        if (string.IsNullOrWhiteSpace(text)) return Outcome.Empty;
        if (text.Trim().Length > MostLetters) return Outcome.TooLong;
        if (await db.Addenda.AnyAsync(a => a.Id == id && a.TreatmentId == treatmentId)) return Outcome.Added;
        db.Add(new AddendumRow { Id = id, TreatmentId = treatmentId, Text = text.Trim(), WrittenBy = writtenBy, WrittenAt = time.GetCurrentInstant() });
        await db.SaveChangesAsync();
        return Outcome.Added;
    }
}
