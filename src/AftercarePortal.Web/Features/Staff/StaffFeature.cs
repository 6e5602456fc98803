namespace AftercarePortal.Web.Features.Staff;

/// <summary>What the Staff feature adds to the portal.</summary>
internal static class StaffFeature
{
    public static void AddStaff(this WebApplicationBuilder builder)
    {
    }

    public static void MapStaff(this WebApplication app)
    {
    }
}
