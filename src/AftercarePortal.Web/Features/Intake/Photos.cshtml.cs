using System.Diagnostics;
using AftercarePortal.Clinical.Photos;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.Mvc;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Photos for the clinician, each of which may be left out. One that cannot be kept costs nothing else.</summary>
internal sealed class PhotosModel(PortalDb db, OpenIntake open, KeepPhoto keep) : IntakePage(open)
{
    /// <summary>What can be shown, in the order the page asks for it.</summary>
    public static IReadOnlyList<FaceView> Views { get; } = Enum.GetValues<FaceView>();

    /// <summary>Photos kept so far, without their pictures.</summary>
    public IReadOnlyDictionary<FaceView, IntakePhotoRow> Kept { get; private set; } = new Dictionary<FaceView, IntakePhotoRow>();
    /// <summary>What was wrong with a file that was just given, in words.</summary>
    public Dictionary<FaceView, string> Problems { get; } = [];

    /// <summary>Minutes to wait because too many came from here, or null.</summary>
    public int? Wait { get; private set; }

    /// <summary>Name of a view in addresses, forms and page words, for example <c>front</c>.</summary>
    public static string Key(FaceView view) => view.ToString().ToLowerInvariant();

    /// <summary>The key of the sentence for a flaw.</summary>
    public static string Key(PhotoFlaw flaw) => flaw switch
    {
        PhotoFlaw.TooDark => "photo-dark",
        PhotoFlaw.TooBright => "photo-bright",
        PhotoFlaw.Blurred => "photo-blurred",
        _ => "photo-small",
    };

    public async Task<IActionResult> OnGetAsync(CancellationToken stop)
    {
        if (Opened.Intake.SubmittedAt is not null || Opened.NextOpen is not null) return GoOn();
        Kept = (await db.PhotosOf(Opened.Intake.Id, stop)).ToDictionary(p => p.View);
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        if (Opened.Intake.SubmittedAt is not null) return AlreadySent(ResultModel.PhotosLate);
        Wait = BodyLimit.PhotosWaitOf(HttpContext);
        if (Wait is not null) return await OnGetAsync(stop);
        foreach (var view in Views)
        {
            if (Request.Form[$"out-{Key(view)}"] == "true" && !await keep.TakeOut(Opened.Intake, view, stop)) return AlreadySent(ResultModel.PhotosLate);
            if (Request.Form.Files[Key(view)] is not { Length: > 0 } file) continue;
            switch (await keep.Run(Opened.Intake, view, file, stop))
            {
                case KeepPhoto.Outcome.Kept: break;
                case KeepPhoto.Outcome.AlreadySent: return AlreadySent(ResultModel.PhotosLate);
                case KeepPhoto.Outcome.NotUsable wrong:
                    Problems[view] = Opened.Words.Say(wrong.Problem, SafePicture.MostBytes / 1_000_000);
                    break;
                default: throw new UnreachableException();
            }
        }

        return Problems.Count > 0 ? await OnGetAsync(stop) : RedirectToPage("Photos", new { Link });
    }
}
