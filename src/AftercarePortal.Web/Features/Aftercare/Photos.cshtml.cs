using System.Globalization;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Photos that came back by text months after a treatment, beside the baseline of the same pose. To look at; never a score.</summary>
internal sealed class PhotosModel(PortalDb db, SetPose set) : PageModel
{
    /// <summary>Photos before this day after a treatment belong to reports, not to the course (judgement, no source).</summary>
    public const int FromDay = 60;

    /// <summary>The photo of one pose that others are looked at beside.</summary>
    /// <param name="Id">Of a photo to measure on.</param>
    /// <param name="When">Day it was added; with a word where that was after the first treatment.</param>
    public sealed record Baseline(Guid Id, string When);
    /// <summary>A photo that came by text.</summary>
    /// <param name="View">Its pose, as a person said; null: nobody has.</param>
    /// <param name="Day">Days from the latest treatment signed before it, for example <c>day 90</c>.</param>
    /// <param name="When">Day it was sent.</param>
    public sealed record Received(Guid Id, ProfileView? View, string Day, string When);

    /// <inheritdoc cref="FromDay" />
    public int From => FromDay;
    public Guid PatientId { get; private set; }
    public string PatientName { get; private set; } = "";
    /// <summary>Other patients have this number, too: the page says to make sure whose face it is.</summary>
    public bool SharedNumber { get; private set; }
    /// <summary>By pose; a pose nobody took a photo of is not there.</summary>
    public IReadOnlyDictionary<ProfileView, Baseline> Baselines { get; private set; } = new Dictionary<ProfileView, Baseline>();
    /// <summary>Those sent <see cref="FromDay"/> days or more after a treatment, the earliest first.</summary>
    public IReadOnlyList<Received> Sent { get; private set; } = [];

    public async Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is not { } row) return NotFound();
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == row.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        string Say(Instant at) => at.InZone(zone).ToString("d MMM uuuu", CultureInfo.InvariantCulture);
        (PatientId, PatientName) = (row.Id, row.Name);
        SharedNumber = await db.Patients.CountAsync(p => p.Number == row.Number, stop) > 1;
        var treatments = await db.Treatments.AsNoTracking().Where(t => t.PatientId == patient).OrderBy(t => t.SignedAt).Select(t => new { t.TreatedOn, t.SignedAt }).ToListAsync(stop);
        await LoadBaselines(patient, treatments.Count > 0 ? treatments[0].SignedAt : null, Say, stop);

        var (photos, messages, poses) = (db.Photos, db.Messages, db.Poses);
        var sent =
            from photo in photos
            join message in messages on photo.MessageId equals message.Id
            join pose in poses on photo.Id equals pose.PhotoId into said
            from pose in said.DefaultIfEmpty()
            where message.From == row.Number && photo.State == PhotoState.Kept
            orderby message.WrittenAt, photo.Index
            select new { photo.Id, message.WrittenAt, View = pose == null ? (ProfileView?)null : pose.View };
        Sent =
        [
            .. from photo in await sent.ToListAsync(stop)
               let last = treatments.LastOrDefault(t => t.SignedAt <= photo.WrittenAt)
               where last is not null
               let day = Period.DaysBetween(last.TreatedOn, photo.WrittenAt.InZone(zone).Date)
               where day >= FromDay
               select new Received(photo.Id, photo.View, $"day {day}", Say(photo.WrittenAt)),
        ];
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(Guid patient, Guid photo, ProfileView view, CancellationToken stop) =>
        ModelState.IsValid && Enum.IsDefined(view) && await set.Run(photo, view, User.Identity!.Name!, stop) ? RedirectToPage(new { patient }) : NotFound();

    // The newest of each pose from before the first treatment; without one, the oldest there is.
    private async Task LoadBaselines(Guid patient, Instant? firstSigned, Func<Instant, string> say, CancellationToken stop)
    {
        var all = await db.ProfilePhotos.AsNoTracking().Where(p => p.PatientId == patient).OrderBy(p => p.AddedAt).Select(p => new { p.Id, p.View, p.AddedAt }).ToListAsync(stop);
        Baselines = all.GroupBy(p => p.View).ToDictionary(g => g.Key, g =>
        {
            var chosen = g.LastOrDefault(p => firstSigned is null || p.AddedAt <= firstSigned) ?? g.First();
            return new Baseline(chosen.Id, say(chosen.AddedAt) + (chosen.AddedAt > firstSigned ? ", after the first treatment" : ""));
        });
    }
}
