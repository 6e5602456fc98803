using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Treatment.Plan;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>What the Treatment feature adds to the portal.</summary>
internal static class TreatmentFeature
{
    public static void AddTreatment(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<AftercarePreview>();
        builder.Services.AddScoped<SavePlan>();
        builder.Services.AddScoped<PlanAgainstIntake>();
        builder.Services.AddScoped<AcceptPlan>();
        builder.Services.AddScoped<CheckKit>();
        builder.Services.AddScoped<SignRecord>();
        builder.Services.AddScoped<AddAddendum>();
        builder.Services.AddScoped<Drafts>();
        builder.Services.AddScoped<ApproveRecall>();
        builder.Services.AddScoped<IJobHandler, SendRecallNotice>();
        builder.Services.AddScoped<ILastLook, RecallText>();
        builder.Services.ConfigureDbContext<SqlitePortalDb>(o => o.AddInterceptors(new SignedRecordsStay()));
        builder.Services.ConfigureDbContext<PostgresPortalDb>(o => o.AddInterceptors(new SignedRecordsStay()));
        builder.Services.ConfigureDbContext<SqlServerPortalDb>(o => o.AddInterceptors(new SignedRecordsStay()));
    }

    public static void MapTreatment(this WebApplication app)
    {
        app.MapSheet();
        app.MapRecordPdf();
        app.MapAdverseEventDraft();
        app.MapFace();
        app.MapGet("/Treatment/Plan/Accepted/{id:guid}/Pdf", AcceptedPdf.Print);
    }
}
