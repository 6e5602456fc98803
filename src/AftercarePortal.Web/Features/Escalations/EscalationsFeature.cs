using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>What the Escalations feature adds to the portal.</summary>
internal static class EscalationsFeature
{
    public static void AddEscalations(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<CarryOutSteps>();
        builder.Services.AddScoped<OpenOrJoin>();
        builder.Services.AddScoped<ILastLook, PageLook>();
        builder.Services.AddScoped<ILastLook, TellLook>();
        builder.Services.AddScoped<Patients.IAnotherNumber, ReportsGoAlong>();
        builder.Services.AddScoped<ConversationSoFar>();
        builder.Services.AddScoped<ReadAnew>();
        builder.Services.AddScoped<TakeEscalation>();
        builder.Services.AddScoped<PassEscalation>();
        builder.Services.AddScoped<StaffStop>();
        builder.Services.AddScoped<HandOver>();
        builder.Services.AddScoped<CloseEscalation>();
        builder.Services.AddScoped<IJobHandler, ReadMessage>();
        builder.Services.AddScoped<IJobHandler, ReadIntakeWords>();
        builder.Services.AddScoped<IJobHandler, UnreadMessage>();
        builder.Services.AddScoped<IJobHandler, StaffGone>();
        builder.Services.AddScoped<IJobHandler, AckDue>();
        builder.Services.AddScoped<IJobHandler, Taken>();
        builder.Services.AddScoped<IJobHandler, OutcomeDue>();
        builder.Services.AddScoped<IJobHandler, NotDelivered>();
        builder.Services.AddScoped<IJobHandler, PhotoNotFetched>();
        builder.Services.AddScoped<IJobHandler, PatientHeard>();
        builder.Services.AddScoped<IJobHandler, StaffReply>();
        builder.Services.AddSingleton<TimerWatch>();
        if (builder.Configuration.GetValue("Jobs:Run", true)) builder.Services.AddHostedService(s => s.GetRequiredService<TimerWatch>());
    }

    public static void MapEscalations(this WebApplication app)
    {
        app.MapVoice();
        app.MapPhotos();
    }
}
