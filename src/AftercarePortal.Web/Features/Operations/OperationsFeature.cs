using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>What the Operations feature adds to the portal: the room where staff see what the portal could not do.</summary>
internal static class OperationsFeature
{
    public static void AddOperations(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<TryAgain>();
        builder.Services.AddScoped<IJobHandler, JobParked>();
        builder.Services.AddScoped<IJobHandler, JobFails>();
        builder.Services.AddSingleton<RotaWatch>();
        builder.Services.AddSingleton<ForgetDone>();
        if (!builder.Configuration.GetValue("Jobs:Run", true)) return;
        builder.Services.AddHostedService(s => s.GetRequiredService<RotaWatch>());
        builder.Services.AddHostedService<ClockWatch>();
        builder.Services.AddHostedService(s => s.GetRequiredService<ForgetDone>());
    }

    public static void MapOperations(this WebApplication app) => app.MapHealth();
}
