namespace AftercarePortal.Web.Features.Escalations;

/// <summary>What the Escalations feature adds to the portal.</summary>
internal static class EscalationsFeature
{
    public static void AddEscalations(this WebApplicationBuilder builder)
    {
    }

    public static void MapEscalations(this WebApplication app)
    {
    }
}
