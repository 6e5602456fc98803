namespace AftercarePortal.Web.Features.Messages;

/// <summary>What the Messages feature adds to the portal.</summary>
internal static class MessagesFeature
{
    public static void AddMessages(this WebApplicationBuilder builder)
    {
    }

    public static void MapMessages(this WebApplication app)
    {
    }
}
