namespace AftercarePortal.Web.Features.Intake;

/// <summary>What the Intake feature adds to the portal.</summary>
internal static class IntakeFeature
{
    public static void AddIntake(this WebApplicationBuilder builder)
    {
    }

    public static void MapIntake(this WebApplication app)
    {
    }
}
