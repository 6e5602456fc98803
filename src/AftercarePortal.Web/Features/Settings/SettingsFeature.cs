namespace AftercarePortal.Web.Features.Settings;

/// <summary>What the Settings feature adds to the portal.</summary>
internal static class SettingsFeature
{
    public static void AddSettings(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<SaveSettings>();
        builder.Services.AddScoped<ClinicClock>();
        builder.Services.AddScoped<ChooseRule>();
    }
}
