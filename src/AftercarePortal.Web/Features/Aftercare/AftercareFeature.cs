using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>What the Aftercare feature adds to the portal.</summary>
internal static class AftercareFeature
{
    public static void AddAftercare(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<SetPose>();
        builder.Services.AddScoped<KeepReviewAnswers>();
        builder.Services.AddScoped<PatientPlan>();
        builder.Services.AddScoped<IJobHandler, PlanAftercare>();
        builder.Services.AddScoped<IJobHandler, PlanAnew>();
        builder.Services.AddScoped<IJobHandler, SendStep>();
        builder.Services.AddScoped<MayGo>();
        builder.Services.AddScoped<ILastLook, StepText>();
    }
}
