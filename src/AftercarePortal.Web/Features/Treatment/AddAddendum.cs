using System.Globalization;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Adds to a signed record without changing it: words, and where an amount was written wrongly, the right one.</summary>
internal sealed class AddAddendum(PortalDb db, TimeProvider time)
{
    /// <summary>Most letters of one addendum.</summary>
    public const int MostLetters = 4000;

    public enum Outcome { Added, Empty, TooLong, AmountWrong, Another, NotFound }

    /// <param name="id">Id the form was given; the same sent twice is added once, other words are <see cref="Outcome.Another"/>.</param>
    /// <param name="corrects">Place of the placement whose amount is put right; null: words only.</param>
    /// <param name="amount">The right amount as typed, mL or units; 0: nothing was placed there.</param>
    public async Task<Outcome> Run(Guid id, Guid treatmentId, string? text, string writtenBy, int? corrects = null, string? amount = null)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.Treatments.AsNoTracking().Include(t => t.Placements).Include(t => t.Addenda).SingleOrDefaultAsync(t => t.Id == treatmentId) is not { } treatment) return Outcome.NotFound;

        // decide
        if (string.IsNullOrWhiteSpace(text)) return Outcome.Empty;
        var words = text.Trim();
        int? right = null;
        if (corrects is { } ordinal)
        {
            if (treatment.Placements.Find(p => p.Ordinal == ordinal) is not { } placement) return Outcome.NotFound;
            if (Read(amount, placement) is not { } read) return Outcome.AmountWrong;
            right = read;
            // The correction stands in the words, too, so that every print shows it.
            words = $"Placement {ordinal}, {Plain.Words(placement.Region)}, {Plain.Words(placement.Side)}: {placement.Said(treatment.RightAmountOf(placement))} should read {placement.Said(read)}.\n{words}";
        }
        else if (!string.IsNullOrWhiteSpace(amount)) return Outcome.AmountWrong;

        if (await Known() is { } known) return known;
        if (words.Length > MostLetters) return Outcome.TooLong;

        // write
        db.Add(new AddendumRow { Id = id, TreatmentId = treatmentId, Text = words, WrittenBy = writtenBy, WrittenAt = now, Corrects = corrects, RightAmount = right });
        if (right is not null) db.Enqueue(SignRecord.LearnFigures, id.ToString(), now, lane: 19);
        try
        {
            await db.SaveChangesAsync();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await Known() is { } other) return other;                          // two taps at once
            throw;
        }

        return Outcome.Added;

        // The sentence before a correction's words names the amount that was right then, so it is not compared.
        async Task<Outcome?> Known() =>
            await db.Addenda.AsNoTracking().SingleOrDefaultAsync(a => a.Id == id) is not { } there ? null
            : (there.TreatmentId, there.Corrects, there.RightAmount, there.Corrects is null ? there.Text : there.Text[(there.Text.IndexOf('\n', StringComparison.Ordinal) + 1)..]) == (treatmentId, corrects, right, text.Trim()) ? Outcome.Added
            : Outcome.Another;
    }

    private static int? Read(string? typed, PlacementRow placement)
    {
        var (most, steps) = placement.HundredthsMl is not null ? (PlacementDraft.MostMl, 100) : (PlacementDraft.MostUnits, 10);
        return decimal.TryParse(typed?.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number)
            && number >= 0 && number <= most && decimal.Truncate(number * steps) == number * steps ? (int)(number * steps) : null;
    }
}
