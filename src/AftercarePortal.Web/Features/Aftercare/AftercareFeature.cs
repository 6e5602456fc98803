namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>What the Aftercare feature adds to the portal.</summary>
internal static class AftercareFeature
{
    public static void AddAftercare(this WebApplicationBuilder builder)
    {
    }

    public static void MapAftercare(this WebApplication app)
    {
    }
}
