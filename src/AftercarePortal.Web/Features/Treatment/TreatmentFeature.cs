namespace AftercarePortal.Web.Features.Treatment;

/// <summary>What the Treatment feature adds to the portal.</summary>
internal static class TreatmentFeature
{
    public static void AddTreatment(this WebApplicationBuilder builder)
    {
    }

    public static void MapTreatment(this WebApplication app)
    {
    }
}
