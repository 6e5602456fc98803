namespace AftercarePortal.Web.Carrier;

/// <summary>What the carrier room adds to the portal.</summary>
internal static class CarrierRoom
{
    public static void AddCarrier(this IServiceCollection services, IConfiguration configuration)
    {
        services.Configure<CarrierOptions>(configuration.GetSection("Carrier"));
        services.AddSingleton<TwilioCarrier>();
        services.AddSingleton<CarrierMedia>();
    }
}
