namespace AftercarePortal.Web.Features.Escalations;

/// <summary>What happened to an escalation, in words.</summary>
internal static class EventWords
{
    public static string Of(EscalationEvent what) => what switch
    {
        EscalationEvent.Opened => "Opened",
        EscalationEvent.Joined => "Another message joined it",
        EscalationEvent.Raised => "Raised",
        EscalationEvent.NewSigns => "More warning signs were written",
        EscalationEvent.TakerNotReached => "A text did not reach whoever has it, who is asked by page and call",
        EscalationEvent.Paged => "Paged",
        EscalationEvent.PagedEveryone => "Everyone paged",
        EscalationEvent.NobodyOnCall => "There was nobody to page",
        EscalationEvent.PageNotDelivered => "A page did not arrive",
        EscalationEvent.Taken => "Taken",
        EscalationEvent.Confirmed => "Confirmed after it was raised",
        EscalationEvent.NotConfirmed => "Did not confirm after it was raised, no longer with",
        EscalationEvent.Passed => "Passed on",
        EscalationEvent.Reminded => "Reminded that the outcome is due",
        EscalationEvent.Reopened => "Reopened for everyone, no longer with",
        EscalationEvent.Closed => "Closed",
        EscalationEvent.PatientTold => "A text to the patient arrived",
        EscalationEvent.PatientCannotBeTexted => "Texts do not reach the patient: ring",
        EscalationEvent.NumberChanged => "The patient's number was changed in the records",
        EscalationEvent.PhotoNotFetched => "A photo could not be fetched: ask the patient for it again, or ring",
        _ => what.ToString(),
    };
}
