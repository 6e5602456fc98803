namespace AftercarePortal.Web.Features.Operations;

/// <summary>What the Operations feature adds to the portal.</summary>
internal static class OperationsFeature
{
    public static void AddOperations(this WebApplicationBuilder builder)
    {
    }

    public static void MapOperations(this WebApplication app)
    {
    }
}
