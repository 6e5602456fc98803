using AftercarePortal.Web.Jobs;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>What the Outcomes feature adds to the portal.</summary>
internal static class OutcomesFeature
{
    public static void AddOutcomes(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<ReadCourses>();
        builder.Services.AddScoped<ReadOutcomes>();
        builder.Services.AddScoped<EndCourse>();
        builder.Services.AddScoped<LearnFigures>();
        builder.Services.AddScoped<IJobHandler, LearnFigures>();
    }
}
