namespace AftercarePortal.Web.Data.Rows;

/// <summary>A row that is often written together with many of its kind: where the database can, they are one statement. Its table stands alone, and nothing watches how it is saved.</summary>
internal interface IOneOfMany;
