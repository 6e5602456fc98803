namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The whole form of a record, exactly as typed.</summary>
/// <param name="RecordId">Id the form was given when it was opened.</param>
/// <param name="Seen">How many records of the patient were signed when it was opened.</param>
/// <param name="TreatedOn">Day of treatment.</param>
/// <param name="Lines">Placements.</param>
/// <param name="Drawn">What was made ready.</param>
/// <param name="Events">What happened during or right after it.</param>
internal sealed record RecordForm(Guid RecordId, int Seen, string? TreatedOn, List<PlacementForm> Lines, List<DrawnForm> Drawn, string? Events);
