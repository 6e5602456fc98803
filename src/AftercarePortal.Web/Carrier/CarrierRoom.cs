namespace AftercarePortal.Web.Carrier;

/// <summary>What the carrier room adds to the portal.</summary>
internal static class CarrierRoom
{
    public static void AddCarrier(this IServiceCollection services, IConfiguration configuration)
    {
        services.AddOptions<CarrierOptions>().Bind(configuration.GetSection("Carrier"))
            .Validate(o => o.AccountSid.Length == 0 || o.HasPublicUrl, "Carrier:PublicUrl must be the portal's whole address, for example https://portal.example: links in pages begin with it, and without it nobody could be paged.")
            .Validate(o => o.ListSeconds is > 0 and <= CarrierOptions.MostListSeconds, $"Carrier:ListSeconds must be more than 0 and at most {CarrierOptions.MostListSeconds}.").ValidateOnStart();
        services.AddSingleton<TwilioCarrier>();
        services.AddSingleton<CarrierMedia>();
    }
}
