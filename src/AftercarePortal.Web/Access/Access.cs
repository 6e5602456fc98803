namespace AftercarePortal.Web.Access;

/// <summary>Who may open what: one table. A route that is not here answers 404 to everybody.</summary>
internal static class Access
{
    /// <summary>Route pattern (as ASP.NET Core prints it, no leading slash) → who.</summary>
    public static IReadOnlyDictionary<string, Who> Table { get; } = new Dictionary<string, Who>(StringComparer.OrdinalIgnoreCase)
    {
        // the carrier: signature checked by the endpoint
        ["carrier/inbound"] = Who.Anyone,
        ["carrier/delivery"] = Who.Anyone,
        ["carrier/voice/ack"] = Who.Anyone,
        ["carrier/voice/test"] = Who.Anyone,
        // the outside watchdog: well or not, nothing else
        ["health"] = Who.Anyone,
        // prospective patients: the page finds its intake by the link's hash and enters that intake's clinic
        ["Intake/at/{clinic}"] = Who.Anyone,
        ["Intake/at/{clinic}/lost"] = Who.Anyone,
        ["Intake/{link}"] = Who.HolderOfTheLink,
        ["Intake/{link}/{number:int}"] = Who.HolderOfTheLink,
        ["Intake/{link}/check"] = Who.HolderOfTheLink,
        ["Intake/{link}/stopped"] = Who.HolderOfTheLink,
        ["Intake/{link}/result"] = Who.HolderOfTheLink,
        ["Intake/{link}/pdf"] = Who.HolderOfTheLink,
        ["Intake/{link}/photos"] = Who.HolderOfTheLink,
        ["Intake/{link}/photos/{view}"] = Who.HolderOfTheLink,
        ["Intake/{link}/asked"] = Who.HolderOfTheLink,
        ["Intake/{link}/visit.ics"] = Who.HolderOfTheLink,
        // staff
        [""] = Who.Anyone,
        ["Staff/SignIn"] = Who.SigningIn,
        ["Staff/SecondFactor"] = Who.AtTheDoor,
        ["Staff/Enrol"] = Who.AtTheDoor,
        ["Staff/Lend"] = Who.Staff,
        ["Staff/Unlock"] = Who.AtTheLock,
        ["Staff/SignOut"] = Who.Staff,
        ["Staff/Password"] = Who.Staff,
        ["Staff"] = Who.PracticeLead,
        ["Staff/Index"] = Who.PracticeLead,
        ["Staff/Change/{id}"] = Who.PracticeLead,
        ["Settings"] = Who.PracticeLead,
        ["Settings/Index"] = Who.PracticeLead,
        ["Settings/Rules"] = Who.PracticeLead,
        ["Patients"] = Who.Staff,
        ["Patients/Index"] = Who.Staff,
        ["Patients/Edit/{id:guid?}"] = Who.Staff,
        ["Patients/{patient:guid}"] = Who.Staff,
        ["Review"] = Who.Staff,
        ["Review/Index"] = Who.Staff,
        ["Review/{id:guid}"] = Who.Staff,
        ["Review/{id:guid}/Finding/{number:int}"] = Who.Staff,
        ["Review/{id:guid}/Ask"] = Who.Staff,
        ["Review/{id:guid}/Sender"] = Who.Staff,
        ["Review/{id:guid}/Visit"] = Who.Staff,
        ["Review/Examine/{id:guid}"] = Who.Staff,
        ["Review/Quote/{id:guid}"] = Who.Staff,
        ["Review/Photos/{patient:guid}"] = Who.Staff,
        ["Review/Measure/{id:guid}"] = Who.Staff,
        ["Review/Pictures/{id:guid}"] = Who.Staff,
        ["Review/Marked/{id:guid}"] = Who.Staff,
        ["Review/IntakePhotos/{id:guid}"] = Who.Staff,
        ["Review/IntakePhotos/{id:guid}/Small"] = Who.Staff,
        ["Consent/{patient:guid}"] = Who.Staff,
        ["Consent/{patient:guid}/{document}"] = Who.Patient,
        ["Consent/Signed/{id:guid}"] = Who.Staff,
        ["Consent/Signed/{id:guid}/Pdf"] = Who.Staff,
        ["Consent/Signed/{id:guid}/Withdraw"] = Who.Staff,
        ["Treatment/Plan/{patient:guid}"] = Who.Staff,
        ["Treatment/Plan/{patient:guid}/Accept"] = Who.Patient,
        ["Treatment/Plan/{patient:guid}/Kit"] = Who.Staff,
        ["Treatment/Plan/Accepted/{id:guid}/Pdf"] = Who.Staff,
        ["Treatment/Record/{id?}"] = Who.Staff,
        ["Treatment/Lots"] = Who.Staff,
        ["Treatment/Recalls/{id:guid}"] = Who.Staff,
        ["Treatment/{id}"] = Who.Staff,
        ["Treatment/Face.svg"] = Who.Staff,
        ["Treatment/{id}/AdverseEvent"] = Who.Staff,
        ["Treatment/{id}/Pdf"] = Who.Staff,
        ["Treatment/{id}/Sheet"] = Who.Staff,
        ["Treatment/{id:guid}/SheetPage"] = Who.Staff,
        ["Aftercare/Photos/{patient:guid}"] = Who.Staff,
        ["Aftercare/ReviewQuestions/{treatment:guid}"] = Who.Staff,
        ["Aftercare/ReviewQuestions/{treatment:guid}/{language}"] = Who.Patient,
        ["Escalations"] = Who.Staff,
        ["Escalations/Index"] = Who.Staff,
        ["Escalations/{id:guid}"] = Who.Staff,
        ["Escalations/Photos/{id:guid}"] = Who.Staff,
        ["Escalations/Photos/{id:guid}/Small"] = Who.Staff,
        ["Escalations/Photos/{id:guid}/File"] = Who.Staff,
        ["Rota"] = Who.Staff,
        ["Rota/Index"] = Who.Staff,
        ["Outcomes"] = Who.PracticeLead,
        ["Outcomes/Cases"] = Who.PracticeLead,
        ["Outcomes/cases.csv"] = Who.PracticeLead,
        ["Rota/Test/{id:guid}"] = Who.Staff,
        ["Rota/Number/{person}"] = Who.PracticeLead,
        ["Rota/Calendars"] = Who.Staff,
        ["Rota/Import"] = Who.Staff,
        ["Rota/Feed/{secret}"] = Who.HolderOfTheLink,
        ["Escalations/HandOver"] = Who.Staff,
        ["Operations"] = Who.Staff,
        ["Operations/Index"] = Who.Staff,
    };
}

/// <summary>Who may open a route.</summary>
internal enum Who
{
    /// <summary>No sign-in; the handler checks a signature itself where there is something to protect.</summary>
    Anyone,
    /// <summary>No sign-in: the private link is the key (see <see cref="PatientLink"/>).</summary>
    HolderOfTheLink,
    /// <summary>No sign-in; but no session whose screen is with a patient: there the lock is the only door.</summary>
    SigningIn,
    /// <summary>No sign-in yet; but no session whose screen is with a patient, which is unlocked with the password, too.</summary>
    AtTheDoor,
    /// <summary>A patient on the clinic's device: a staff session bound to this very page until it is unlocked.</summary>
    Patient,
    /// <summary>Staff with a second factor, also while their screen is with a patient.</summary>
    AtTheLock,
    /// <summary>Staff signed in with a second factor.</summary>
    Staff,
    /// <summary>Staff with a second factor who lead the practice.</summary>
    PracticeLead,
}
