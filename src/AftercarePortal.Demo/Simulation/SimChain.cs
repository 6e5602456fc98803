namespace AftercarePortal.Demo.Simulation;

/// <summary>What must hold along the chain of events of one report.</summary>
internal sealed class SimChain(SimWorld world, Guid report)
{
    private string? _taker;
    private bool _closed;

    /// <summary>Whoever has it was told that it got worse, and has not said since that they know.</summary>
    public bool MustConfirm { get; private set; }

    /// <summary>Whether somebody was paged, or it was noted that there is nobody.</summary>
    public bool Paged { get; private set; }

    public void Next(string what, string? person)
    {
        SimRules.Hold(!_closed || what is "PageNotDelivered" or "Passed" or "PatientCannotBeTexted" or "PatientTold", "something happened to a closed report");
        switch (what)
        {
            case "Taken":
                SimRules.Hold(_taker is null, "two people took one report");
                SimRules.Hold(world.Story.Tried.Contains((person!, report)), "a report was taken by somebody who did not take it");
                (_taker, MustConfirm) = (person, false);
                break;
            case "Reopened" or "NotConfirmed":
                SimRules.Hold(what is "Reopened" || MustConfirm, "a report was taken back from somebody who had confirmed");
                (_taker, MustConfirm) = (null, false);
                break;
            case "Confirmed":
                SimRules.Hold(_taker == person && MustConfirm, "a report was confirmed that nobody asked about");
                MustConfirm = false;
                break;
            case "Raised" or "NewSigns" or "TakerNotReached":
                MustConfirm = _taker is not null;
                break;
            case "Paged":
                SimRules.Hold(_taker is null || MustConfirm && person == _taker, "somebody was paged for a report that is taken");
                Paged = true;
                break;
            case "PagedEveryone" or "NobodyOnCall":
                SimRules.Hold(_taker is null, "everyone was paged for a report that is taken");
                Paged = true;
                break;
            case "Closed":
                SimRules.Hold(_taker == person, "a report was closed by somebody who does not have it");
                SimRules.Hold(world.Rows.Count("SELECT count(*) FROM Readings WHERE EscalationId = $0", report.ToString().ToUpperInvariant()) <= world.Story.Seen[report], "a report was closed over a message nobody saw");
                (_closed, MustConfirm) = (true, false);
                break;
        }
    }
}
