using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Jobs;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>What the Intake feature adds to the portal.</summary>
internal static class IntakeFeature
{
    public static void AddIntake(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<OpenIntake>();
        builder.Services.AddScoped<StartIntake>();
        builder.Services.AddScoped<SaveAnswer>();
        builder.Services.AddScoped<LateAnswer>();
        builder.Services.AddSingleton<PriceBases>();
        builder.Services.AddScoped<MakeQuote>();
        builder.Services.AddScoped<WorkOutResult>();
        builder.Services.AddScoped<SendIntake>();
        builder.Services.AddScoped<LostLink>();
        builder.Services.AddScoped<IJobHandler, SendLink>();
        builder.Services.AddScoped<KeepPhoto>();
        builder.Services.AddScoped<IReadersLanguage, LanguageOfLink>();
        builder.Services.AddSingleton<IntakeLimits>();
        builder.Services.AddScoped<IJobHandler, ForgetIntake>();
    }

    public static void MapIntake(this WebApplication app)
    {
        app.MapIntakePhotos();
        app.MapIntakePdf();
    }
}
