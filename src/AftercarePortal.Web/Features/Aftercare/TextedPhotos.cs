using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>A photo that came by text.</summary>
/// <param name="View">Its pose, as a person said; null: nobody has.</param>
/// <param name="WrittenAt">When its text was written.</param>
/// <param name="MayBeAnothers">Another patient has, or had, the number it came from.</param>
internal sealed record TextedPhoto(Guid Id, ProfileView? View, Instant WrittenAt, bool MayBeAnothers);

/// <summary>Photos by text, by patient.</summary>
internal static class TextedPhotos
{
    extension(PortalDb db)
    {
        /// <summary>Photos sent from a number while it was this patient's, or at any time where no other patient ever had it; the earliest first, those said to show somebody else among them. Where several patients share a number, a person makes sure whose face it is.</summary>
        public async Task<IReadOnlyList<TextedPhoto>> PhotosByTextOf(PatientRow patient, CancellationToken stop)
        {
            var entries = await db.PatientChanges.AsNoTracking().Where(c => c.PatientId == patient.Id).OrderBy(c => c.ChangedAt).ThenBy(c => c.Id).Select(c => new { c.Number, c.ChangedAt }).ToListAsync(stop);
            string NumberAt(Instant at) => entries.LastOrDefault(e => e.ChangedAt <= at)?.Number ?? entries.FirstOrDefault()?.Number ?? patient.Number;
            var numbers = entries.Select(e => e.Number).Append(patient.Number).Distinct().ToList();
            var (photos, messages, poses) = (db.Photos, db.Messages, db.Poses);
            var sent =
                from photo in photos
                join message in messages on photo.MessageId equals message.Id
                join pose in poses on photo.Id equals pose.PhotoId into said
                from pose in said.DefaultIfEmpty()
                where numbers.Contains(message.From) && photo.State == PhotoState.Kept
                orderby message.WrittenAt, photo.Index
                select new { photo.Id, message.From, message.WrittenAt, View = pose == null ? (ProfileView?)null : pose.View };
            var others = await db.PatientChanges.Where(c => c.PatientId != patient.Id && numbers.Contains(c.Number)).Select(c => c.Number).ToListAsync(stop);
            others.AddRange(await db.Patients.Where(p => p.Id != patient.Id && numbers.Contains(p.Number)).Select(p => p.Number).ToListAsync(stop));
            return
            [
                .. from photo in await sent.ToListAsync(stop)
                   let another = others.Contains(photo.From)
                   where !another || photo.From == NumberAt(photo.WrittenAt)
                   select new TextedPhoto(photo.Id, photo.View, photo.WrittenAt, another),
            ];
        }
    }
}
