namespace AftercarePortal.Web.Data.Rows;

/// <summary>A row that belongs to one clinic and is never seen from another.</summary>
internal interface IClinicRow
{
    Guid ClinicId { get; }
}
