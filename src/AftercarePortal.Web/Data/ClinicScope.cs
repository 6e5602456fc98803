namespace AftercarePortal.Web.Data;

/// <summary>Which clinic the current request or job works for. Set once, at the edge that knows it.</summary>
internal sealed class ClinicScope
{
    /// <summary>The clinic; empty until the edge has set it.</summary>
    public Guid ClinicId { get; private set; }

    /// <summary>Enters one clinic. Changing to another in the same scope is a programmer's mistake.</summary>
    /// <exception cref="InvalidOperationException">Another clinic was entered before.</exception>
    public void Enter(Guid clinicId)
    {
        if (ClinicId != Guid.Empty && ClinicId != clinicId) throw new InvalidOperationException("This unit of work belongs to another clinic.");
        ClinicId = clinicId;
    }
}
