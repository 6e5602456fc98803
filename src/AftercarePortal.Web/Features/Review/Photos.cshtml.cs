using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>A patient's photos to measure on, and the difference of left and right.</summary>
internal sealed class PhotosModel(PortalDb db, PlaceMark place) : PageModel
{
    public string PatientName { get; private set; } = "";
    /// <summary>The latest first, without their pictures.</summary>
    public IReadOnlyList<ProfilePhotoRow> Photos { get; private set; } = [];
    /// <summary>Of the gonial angle between left and right; null: one of them was not measured.</summary>
    public SideDifference? Difference { get; private set; }
    /// <summary>Why nothing was added, in words; null: nothing was wrong.</summary>
    public string? Refusal { get; private set; }

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

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop) is not { } patient) return NotFound();
        PatientName = patient.Name;
        Photos = await db.ProfilePhotos.AsNoTracking().Where(p => p.PatientId == id).OrderByDescending(p => p.AddedAt).Select(p => new ProfilePhotoRow
        {
            Id = p.Id, PatientId = p.PatientId, View = p.View, Sealed = Array.Empty<byte>(), Width = p.Width, Height = p.Height, ScaleTenthsMm = p.ScaleTenthsMm, AddedBy = p.AddedBy, AddedAt = p.AddedAt, Marks = p.Marks,
        }).ToListAsync(stop);
        Difference = ProfileReading.Difference(Photos);
        return Page();
    }
}
