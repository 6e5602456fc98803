using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Photos that came back by text months after a treatment, beside the baseline of the same pose. To look at; never a score.</summary>
internal sealed class PhotosModel(PortalDb db, SetPose set, WhosePhoto whose, ClinicClock clock) : PageModel
{
    /// <summary>Photos before this day after a treatment belong to reports, not to the course (judgement, no source).</summary>
    public const int FromDay = 60;

    /// <summary>The photo of one pose that others are looked at beside.</summary>
    /// <param name="Id">Of a photo to measure on.</param>
    /// <param name="When">Day it was added; with a word where that was after the first treatment.</param>
    public sealed record Baseline(Guid Id, string When);
    /// <summary>A photo that came by text.</summary>
    /// <param name="View">Its pose, as a person said; null: nobody has.</param>
    /// <param name="Day">Days from the latest treatment before it that touches up no other, for example <c>day 90</c>.</param>
    /// <param name="When">Day it was sent.</param>
    public sealed record Received(Guid Id, ProfileView? View, string Day, string When);

    /// <inheritdoc cref="FromDay" />
    public int From => FromDay;
    public Guid PatientId { get; private set; }
    public string PatientName { get; private set; } = "";
    /// <summary>Other patients have this number, or had one a photo came from: the page says to make sure whose face it is.</summary>
    public bool SharedNumber { get; private set; }
    /// <summary>By pose; a pose nobody took a photo of is not there.</summary>
    public IReadOnlyDictionary<ProfileView, Baseline> Baselines { get; private set; } = new Dictionary<ProfileView, Baseline>();
    /// <summary>Those sent <see cref="FromDay"/> days or more after a treatment, the earliest first.</summary>
    public IReadOnlyList<Received> Sent { get; private set; } = [];

    /// <summary>Those that show somebody else, as was said last, with when and where the picture is.</summary>
    public IReadOnlyList<(WhosePhotoRow Said, string When, string Picture)> TakenOff { get; private set; } = [];
    /// <summary>Why nothing was changed, in words; null: nothing was wrong.</summary>
    public string? Refusal { get; private set; }
    private (Guid Photo, string Why) _refused;
    /// <summary>What was typed of why this photo shows somebody else, and refused; null: of this one nothing was.</summary>
    public string? RefusedOf(Guid photo) => _refused.Photo == photo ? _refused.Why : null;

    public async Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is not { } row) return NotFound();
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == row.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        string Say(Instant at) => Plain.Day(at.InZone(zone).Date);
        (PatientId, PatientName) = (row.Id, row.Name);
        var treatments = (await db.RecordsThatHold(patient, stop)).Where(t => !t.WasStopped).OrderBy(t => t.TreatedOn).ThenBy(t => t.SignedAt).ToList();
        var (taken, say) = (await db.PhotosOfSomebodyElse(patient, stop), await clock.ForPages());
        await LoadBaselines(patient, treatments.FirstOrDefault(), taken, zone, Say, stop);

        var sent = await db.PhotosByTextOf(row, stop);
        SharedNumber = sent.Any(p => p.MayBeAnothers) || await db.Patients.CountAsync(p => p.Number == row.Number, stop) > 1;
        TakenOff = [.. taken.Where(t => sent.Any(p => p.Id == t.PhotoId)).Select(t => (t, say(t.SaidAt), $"/Escalations/Photos/{t.PhotoId}"))];
        Sent =
        [
            .. from photo in sent
               where !taken.Any(t => t.PhotoId == photo.Id)
               let sentOn = photo.WrittenAt.InZone(zone).Date
               let last = treatments.LastOrDefault(t => t.TreatedOn <= sentOn && GivenRecord.FirstDay(t.TouchUpOf, treatments) is null)
               where last is not null
               let day = Period.DaysBetween(last.TreatedOn, sentOn)
               where day >= FromDay
               select new Received(photo.Id, photo.View, $"day {day}", Say(photo.WrittenAt)),
        ];
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(Guid patient, Guid photo, ProfileView view, CancellationToken stop) =>
        ModelState.IsValid && Enum.IsDefined(view) && await set.Run(patient, photo, view, User.Identity!.Name!, stop) ? RedirectToPage(new { patient }) : NotFound();

    /// <summary>A photo leaves the pages of this patient.</summary>
    public async Task<IActionResult> OnPostSomebodyElseAsync(Guid patient, Guid photo, string? why, CancellationToken stop)
    {
        if (!await IsHers(patient, photo, stop)) return NotFound();
        Refusal = await whose.Run(patient, photo, showsPatient: false, why, User.Identity!.Name!, stop);
        if (Refusal is null) return RedirectToPage(new { patient });
        _refused = (photo, why ?? "");
        return await OnGetAsync(patient, stop);
    }

    /// <summary>A photo comes back to them.</summary>
    public async Task<IActionResult> OnPostHersAsync(Guid patient, Guid photo, CancellationToken stop) =>
        await IsHers(patient, photo, stop) && await whose.Run(patient, photo, showsPatient: true, null, User.Identity!.Name!, stop) is null ? RedirectToPage(new { patient }) : NotFound();

    private async Task<bool> IsHers(Guid patient, Guid photo, CancellationToken stop) =>
        await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is { } row && (await db.PhotosByTextOf(row, stop)).Any(p => p.Id == photo);

    // The newest of each pose from before the first treatment; without one, the oldest there is.
    private async Task LoadBaselines(Guid patient, TreatmentRow? first, IReadOnlyList<WhosePhotoRow> taken, DateTimeZone zone, Func<Instant, string> say, CancellationToken stop)
    {
        var all = await db.ProfilePhotos.AsNoTracking().Where(p => p.PatientId == patient).OrderBy(p => p.AddedAt).Select(p => new { p.Id, p.View, p.AddedAt }).ToListAsync(stop);
        all.RemoveAll(p => taken.Any(t => t.PhotoId == p.Id));
        Baselines = all.GroupBy(p => p.View).ToDictionary(g => g.Key, g =>
        {
            var chosen = g.LastOrDefault(p => !IsAfter(p.AddedAt)) ?? g.First();
            return new Baseline(chosen.Id, say(chosen.AddedAt) + (IsAfter(chosen.AddedAt) ? ", after the first treatment" : ""));
        });

        // On the day itself signing parts before from after; of a record signed later the day decides.
        bool IsAfter(Instant added) => first is not null && (added > first.SignedAt || added.InZone(zone).Date > first.TreatedOn);
    }
}
