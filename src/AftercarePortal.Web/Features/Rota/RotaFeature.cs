using AftercarePortal.Web.Jobs;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>What the Rota feature adds to the portal.</summary>
internal static class RotaFeature
{
    public static void AddRota(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<ChangeRota>();
        builder.Services.AddScoped<ChangeNumber>();
        builder.Services.AddScoped<PageStaff>();
        builder.Services.AddScoped<SendTestPage>();
        builder.Services.AddScoped<ProveContact>();
        builder.Services.AddScoped<MarkTrouble>();
        builder.Services.AddScoped<WarnOfContact>();
        builder.Services.AddScoped<IJobHandler, ShiftBegins>();
        builder.Services.AddScoped<IJobHandler, TestPageDue>();
        builder.Services.AddScoped<IJobHandler, StaffChanged>();
    }

    public static void MapRota(this WebApplication app)
    {
        app.MapTestVoice();
        app.MapFeed();
    }
}
