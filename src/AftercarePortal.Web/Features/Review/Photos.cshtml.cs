using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>A patient's photos to measure on, and the difference of left and right.</summary>
internal sealed class PhotosModel(PortalDb db, PlaceMark place, WhosePhoto whose, ClinicClock clock) : PageModel
{
    public Guid PatientId { get; private set; }
    public string PatientName { get; private set; } = "";
    /// <summary>The latest first, without their pictures.</summary>
    public IReadOnlyList<ProfilePhotoRow> Photos { get; private set; } = [];
    /// <summary>Those that show somebody else, as was said last, with when and where the picture is.</summary>
    public IReadOnlyList<(WhosePhotoRow Said, string When, string Picture)> TakenOff { get; private set; } = [];
    /// <summary>Of the gonial angle between left and right; null: one of them was not measured.</summary>
    public SideDifference? Difference { get; private set; }
    /// <summary>Why nothing was added, in words; null: nothing was wrong.</summary>
    public string? Refusal { get; private set; }
    private (Guid Photo, string Why) _refused;
    /// <summary>What was typed of why this photo shows somebody else, and refused; null: of this one nothing was.</summary>
    public string? RefusedOf(Guid photo) => _refused.Photo == photo ? _refused.Why : null;

    public Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop) => Show(patient, stop);

    public async Task<IActionResult> OnPostAsync(Guid patient, string? view, IFormFile? file, CancellationToken stop)
    {
        if (!await db.Patients.AnyAsync(p => p.Id == patient, stop)) return NotFound();
        if (!Enum.GetNames<ProfileView>().Contains(view)) Refusal = "Choose what the photo shows.";
        else if (file is null || file.Length is 0 or > SafePicture.MostBytes) Refusal = $"Choose a photo of at most {SafePicture.MostBytes / 1_000_000} MB.";
        if (Refusal is not null) return await Show(patient, stop);
        using var bytes = new MemoryStream();
        await file!.CopyToAsync(bytes, stop);
        if (await place.Add(patient, Enum.Parse<ProfileView>(view!), bytes.ToArray(), User.Identity!.Name!, stop) is { } id) return RedirectToPage("Measure", new { id });
        Refusal = "This is no whole JPEG, PNG, WebP or GIF. Take the photo again, or save it as JPEG.";
        return await Show(patient, stop);
    }

    /// <summary>A photo leaves the pages of this patient.</summary>
    public async Task<IActionResult> OnPostSomebodyElseAsync(Guid patient, Guid photo, string? why, CancellationToken stop)
    {
        if (!await db.ProfilePhotos.AnyAsync(p => p.Id == photo && p.PatientId == patient, stop)) return NotFound();
        Refusal = await whose.Run(patient, photo, showsPatient: false, why, User.Identity!.Name!, stop);
        if (Refusal is null) return RedirectToPage(new { patient });
        _refused = (photo, why ?? "");
        return await Show(patient, stop);
    }

    /// <summary>A photo comes back to them.</summary>
    public async Task<IActionResult> OnPostHersAsync(Guid patient, Guid photo, CancellationToken stop) =>
        await db.ProfilePhotos.AnyAsync(p => p.Id == photo && p.PatientId == patient, stop) && await whose.Run(patient, photo, showsPatient: true, null, User.Identity!.Name!, stop) is null ? RedirectToPage(new { patient }) : NotFound();

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop) is not { } patient) return NotFound();
        (PatientId, PatientName) = (id, patient.Name);
        Photos = await db.ProfilePhotos.AsNoTracking().Where(p => p.PatientId == id).OrderByDescending(p => p.AddedAt).Select(p => new ProfilePhotoRow
        {
            Id = p.Id, PatientId = p.PatientId, View = p.View, Sealed = Array.Empty<byte>(), Width = p.Width, Height = p.Height, ScaleTenthsMm = p.ScaleTenthsMm, AddedBy = p.AddedBy, AddedAt = p.AddedAt, Marks = p.Marks,
        }).ToListAsync(stop);
        var taken = await db.PhotosOfSomebodyElse(id, stop);
        var say = await clock.ForPages();
        TakenOff = [.. taken.Where(t => Photos.Any(p => p.Id == t.PhotoId)).Select(t => (t, say(t.SaidAt), $"/Review/Pictures/{t.PhotoId}"))];
        Photos = [.. Photos.Where(p => !taken.Any(t => t.PhotoId == p.Id))];
        Difference = ProfileReading.Difference(Photos);
        return Page();
    }
}
