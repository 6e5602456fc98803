namespace AftercarePortal.Web.Features.Review;

/// <summary>An invitation to a visit as typed.</summary>
internal sealed class VisitForm
{
    /// <summary>ISO day of the clinic.</summary>
    public string? Day { get; set; }
    /// <summary>Time on the clinic's wall clock, <c>HH:mm</c>.</summary>
    public string? At { get; set; }
    /// <summary>Length, 5 to 480.</summary>
    public string? Minutes { get; set; }
    /// <summary>Where, as the person reads it, up to 200 characters; may be empty.</summary>
    public string? Place { get; set; }
    /// <summary>How many words about this visit the page had shown.</summary>
    public int Seen { get; set; }
}
