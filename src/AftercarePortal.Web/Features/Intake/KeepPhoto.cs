using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Keeps one photo of an open intake in the place of an earlier one, or takes it out again.</summary>
internal sealed class KeepPhoto(PortalDb db, PhotoStore store, TimeProvider time)
{
    // A picture takes up to 120 MB while it is unpacked, and strangers choose when.
    private static readonly SemaphoreSlim Unpacking = new(2);

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        /// <summary>It cannot be kept; the key of the sentence for the person. What was kept before stays.</summary>
        public sealed record NotUsable(string Problem) : Outcome;
        public sealed record AlreadySent : Outcome;
    }

    public async Task<Outcome> Run(IntakeRow intake, FaceView view, IFormFile file, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (file.Length > SafePicture.MostBytes) return new Outcome.NotUsable("photo-large");
        var bytes = new byte[file.Length];
        await using (var stream = file.OpenReadStream()) await stream.ReadExactlyAsync(bytes, stop);

        // decide
        await Unpacking.WaitAsync(stop);
        IntakePhotoRow row;
        try
        {
            if (await SafePicture.Read(bytes, stop) is not { } picture) return new Outcome.NotUsable("photo-unreadable");
            var quality = PictureQuality.Of(picture);
            row = new()
            {
                ClinicId = intake.ClinicId, IntakeId = intake.Id, View = view, Width = picture.Width, Height = picture.Height, Sharpness = quality.Sharpness, Brightness = quality.Brightness, AddedAt = now,
            };
            row.Sealed = store.Close(picture.Jpeg, row.Place(small: false));
            row.SealedSmall = store.Close(picture.Small, row.Place(small: true));
        }
        finally
        {
            Unpacking.Release();
        }

        // write
        return await Replace(intake, view, row, stop) ? new Outcome.Kept() : new Outcome.AlreadySent();
    }

    /// <summary>Takes a photo out. False when the intake was sent meanwhile: it stays.</summary>
    public Task<bool> TakeOut(IntakeRow intake, FaceView view, CancellationToken stop) => Replace(intake, view, null, stop);

    // The intake's row is taken hold of first: nothing changes once it has been sent, and two uploads at once follow one another.
    private async Task<bool> Replace(IntakeRow intake, FaceView view, IntakePhotoRow? row, CancellationToken stop)
    {
        await using var all = await db.Database.BeginTransactionAsync(stop);
        if (await db.Intakes.Where(i => i.Id == intake.Id && i.SubmittedAt == null).ExecuteUpdateAsync(s => s.SetProperty(i => i.Questionnaire, i => i.Questionnaire), stop) == 0) return false;
        await db.IntakePhotos.Where(p => p.IntakeId == intake.Id && p.View == view).ExecuteDeleteAsync(stop);
        if (row is not null) db.Add(row);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return true;
    }
}
