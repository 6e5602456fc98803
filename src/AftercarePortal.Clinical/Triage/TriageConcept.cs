namespace AftercarePortal.Clinical.Triage;

/// <summary>One thing a patient may be telling, and the word relations that say it.</summary>
/// <param name="Id">Stable id, for example <c>vision-change</c>.</param>
/// <param name="Class">Vascular class (colour, pain, cold, blister, numb) or empty.</param>
/// <param name="MayDrop">Whether an explicit denial drops it. Emergency concepts stay at same day whatever this says.</param>
/// <param name="Tiers">First fitting row decides, per product; the highest over products counts. None fitting: same day.</param>
/// <param name="When">Any one of these is enough.</param>
/// <param name="SourceId">Bibliography entry behind the concept.</param>
public sealed record TriageConcept(
    string Id, string Class, bool MayDrop, IReadOnlyList<TriageTierRow> Tiers, IReadOnlyList<TriageFrame> When, string SourceId);
