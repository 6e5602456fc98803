namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Whom a report reaches at this moment: what the patient is told depends on it.</summary>
internal enum Reach
{
    /// <summary>Somebody has it, or somebody on call is being paged.</summary>
    Somebody,
    /// <summary>Nobody is on call, or those who are did not answer: everyone is paged, and nobody was reached yet.</summary>
    Nobody,
    /// <summary>Whoever has it is told by text and not called: it holds nothing that was not written before.</summary>
    Taker,
}
