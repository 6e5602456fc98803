namespace AftercarePortal.Web.Tests.Intake;

public sealed class Filling_an_intake_on_SQLite() : Filling_an_intake;
