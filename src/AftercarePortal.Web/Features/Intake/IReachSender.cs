namespace AftercarePortal.Web.Features.Intake;

/// <summary>How the person who sent an intake is reached by text now.</summary>
/// <param name="Number">E.164.</param>
/// <param name="Agreed">Texts were agreed to, and that was not taken back.</param>
/// <param name="Stopped">The number's last word was STOP, or that it is somebody else's.</param>
/// <param name="WrongNumber">It was the latter.</param>
internal sealed record Reached(string Number, bool Agreed, bool Stopped, bool WrongNumber)
{
    /// <summary>A text may be promised and sent.</summary>
    public bool MayText => Agreed && !Stopped;

    /// <summary>For staff.</summary>
    public string InWords =>
        !Agreed ? "none are wanted; ring"
        : WrongNumber ? "said to be somebody else's number, so no text goes to it: find out the number, and ring"
        : Stopped ? "texted STOP, so no text goes there: ring"
        : "may be texted";
}

/// <summary>Whose an intake is, is decided after it was sent; who keeps that says here how the person is reached.</summary>
internal interface IReachSender
{
    /// <summary>The number and agreement of the patient who sent it, where it is known who that is; else what was typed.</summary>
    /// <param name="intake">A sent intake.</param>
    Task<Reached> Of(IntakeRow intake, CancellationToken stop);

    /// <summary>Intakes of patients who have this number now, E.164, whatever number was typed in them.</summary>
    Task<IReadOnlyList<Guid>> IntakesOf(string number, CancellationToken stop);
}
