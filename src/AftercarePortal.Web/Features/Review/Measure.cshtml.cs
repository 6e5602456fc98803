using System.Globalization;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Place landmarks on one photo, by a tap or by typing, and read what they say.</summary>
internal sealed class MeasureModel(PortalDb db, PlaceMark place, ContentLibrary content, ClinicClock clock) : PageModel
{
    /// <summary>Widths the picture is offered at, CSS pixels: a phone, a tablet. A tap counts in these pixels.</summary>
    public static readonly int[] Sizes = [340, 680];

    /// <summary>Width of the picture, CSS pixels: one of <see cref="Sizes"/>.</summary>
    [BindProperty(SupportsGet = true)] public int Size { get; set; } = Sizes[0];
    /// <summary>The landmark a tap places, by name.</summary>
    [BindProperty] public string? Which { get; set; }
    /// <summary>Length between the ends of the scale as typed, 1 to 500 mm; empty: no scale.</summary>
    [BindProperty] public string? ScaleMm { get; set; }
    /// <summary>The <see cref="ShownMarks"/> of this page, as written into its form.</summary>
    [BindProperty] public string? Seen { get; set; }
    public ProfilePhotoRow Photo { get; private set; } = null!;
    /// <summary>Whose face it is: also on paper.</summary>
    public string PatientName { get; private set; } = "";
    /// <summary>Published figures to stand beside measures.</summary>
    public IReadOnlyList<JawNorm> Norms => content.Norms;
    /// <summary>What the landmarks placed so far say.</summary>
    public IReadOnlyList<Measured> Measures { get; private set; } = [];
    /// <summary>Why nothing was kept, in words; null: nothing was wrong.</summary>
    public string? Refusal { get; private set; }
    /// <summary>What was typed and not as it was shown, when it was refused.</summary>
    public Dictionary<Landmark, (string X, string Y)> Typed { get; } = [];
    /// <summary>Height of the picture, CSS pixels.</summary>
    public int ShownHeight => (int)Math.Round((double)Size * Photo.Height / Photo.Width);

    public async Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop) => await Find(id, stop) ? Show() : NotFound();

    /// <summary>A tap on the picture places the chosen landmark.</summary>
    public async Task<IActionResult> OnPostTapAsync(Guid id, [FromForm(Name = "At.x")] string? x, [FromForm(Name = "At.y")] string? y, CancellationToken stop)
    {
        if (!await Find(id, stop)) return NotFound();
        if (!ProfileReading.LandmarksOf(Photo.View).Any(l => l.ToString() == Which)) Refusal = "Choose which landmark you place, then tap.";
        else if (Read(x) is not { } left || Read(y) is not { } top) Refusal = "Tap on the picture, or type where the landmark lies.";
        else
        {
            var scale = (double)Photo.Width / Size;
            await Keep(new Dictionary<Landmark, Spot> { [Enum.Parse<Landmark>(Which!)] = new((left + 0.5) * scale, (top + 0.5) * scale) }, stop);
        }

        return Refusal is null ? RedirectToPage(new { id, Size }) : Show();
    }

    /// <summary>Typed places of any landmarks.</summary>
    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop)
    {
        if (!await Find(id, stop)) return NotFound();
        var (placed, shown) = (new Dictionary<Landmark, Spot>(), ShownMarks.Read(Seen));
        foreach (var landmark in ProfileReading.LandmarksOf(Photo.View))
        {
            var (x, y) = (Request.Form[$"X.{landmark}"].ToString(), Request.Form[$"Y.{landmark}"].ToString());
            // Left as the page showed it, it is not touched: whoever moved it meanwhile keeps it.
            if ((string.IsNullOrWhiteSpace(x) && string.IsNullOrWhiteSpace(y)) || shown.Showed(landmark, x, y)) continue;
            Typed[landmark] = (x, y);
            if (Read(x) is { } left && Read(y) is { } top) placed[landmark] = new(left, top);
            else Refusal ??= $"{LandmarkWords.Of(landmark)}: give two numbers.";
        }

        if (Refusal is null) await Keep(placed, stop);
        return Refusal is null ? RedirectToPage(new { id, Size }) : Show();
    }

    private async Task Keep(Dictionary<Landmark, Spot> placed, CancellationToken stop)
    {
        var shown = ShownMarks.Read(Seen);
        switch (await place.Run(Photo, shown, placed, ScaleMm, User.Identity!.Name!, stop))
        {
            case PlaceMark.Outcome.Refused refused:
                Refusal = refused.Why;
                break;
            case PlaceMark.Outcome.Meanwhile other:
                // Theirs is drawn; keeping once more is meant. A scale that was not touched here is theirs, too.
                string[] what = [other.Placed is var (by, at) ? $"{by} placed landmarks of this photo at {await clock.Say(at)}" : "", other.Scale is { } scale ? $"its scale was changed, to {(scale.Length > 0 ? $"{scale} mm" : "none")}" : ""];
                Refusal = $"Not kept: {string.Join(", and ", what.Where(w => w.Length > 0))}, while this page was open. The page shows how it stands now; what you changed stands below. Look, then keep or tap again to put yours in place.";
                await Find(Photo.Id, stop);
                if ((ScaleMm?.Trim() ?? "") == shown.Scale) ScaleMm = ShownMarks.Of(Photo).Scale;
                Seen = ShownMarks.Of(Photo).ToString();
                break;
        }
    }

    private async Task<bool> Find(Guid id, CancellationToken stop)
    {
        if (!Sizes.Contains(Size)) Size = Sizes[0];
        if (await db.ProfilePhotos.Include(p => p.Marks).SingleOrDefaultAsync(p => p.Id == id, stop) is not { } photo) return false;
        Photo = photo;
        PatientName = await db.Patients.Where(p => p.Id == photo.PatientId).Select(p => p.Name).SingleAsync(stop);
        return true;
    }

    private PageResult Show()
    {
        ModelState.Clear();
        var next = ProfileReading.LandmarksOf(Photo.View).Where(l => Photo.Marks.TrueForAll(m => m.Landmark != l)).Select(l => l.ToString()).FirstOrDefault();
        Which = ProfileReading.LandmarksOf(Photo.View).Any(l => l.ToString() == Which) ? Which : next;
        if (Refusal is null) (Seen, ScaleMm) = (ShownMarks.Of(Photo).ToString(), ShownMarks.Of(Photo).Scale);
        Measures = Photo.Measures();
        return Page();
    }

    private static double? Read(string? typed) =>
        double.TryParse(typed?.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number) ? number : null;
}
