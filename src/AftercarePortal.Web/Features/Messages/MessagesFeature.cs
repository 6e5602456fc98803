using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>What the Messages feature adds to the portal.</summary>
internal static class MessagesFeature
{
    public static void AddMessages(this WebApplicationBuilder builder)
    {
        builder.Services.AddCarrier(builder.Configuration);
        builder.Services.AddSingleton<OurNumbers>();
        builder.Services.AddScoped<ReceiveMessage>();
        builder.Services.AddSingleton<SenderPace>();
        builder.Services.AddSingleton<SealedWords>();
        builder.Services.AddScoped<KeepDelivery>();
        builder.Services.AddSingleton<InboundSweep>();
        if (builder.Configuration.GetValue("Jobs:Run", true)) builder.Services.AddHostedService(s => s.GetRequiredService<InboundSweep>());
        builder.Services.AddScoped<IJobHandler, SendMessage>();
        builder.Services.AddScoped<IJobHandler, HeardOf>();
        builder.Services.AddPhotos(builder.Configuration);
        builder.Services.AddScoped<IJobHandler, FetchMedia>();
    }

    public static void MapMessages(this WebApplication app)
    {
        app.MapInboundMessages();
        app.MapDeliveries();
    }
}
