using AftercarePortal.Web.Access;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Operations;
using AftercarePortal.Web.Features.Outcomes;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.Extensions.FileProviders;

namespace AftercarePortal.Web;

/// <summary>The portal's table of contents: one Add and one Map line a feature.</summary>
internal static class Portal
{
    /// <summary>Builds the portal. The demo and the tests hand in their clock, carrier and database through <paramref name="before"/>.</summary>
    public static WebApplication Build(string[] args, Action<WebApplicationBuilder>? before = null)
    {
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions
        {
            Args = args,
            ApplicationName = typeof(Portal).Assembly.GetName().Name,      // pages are found also when the demo hosts them
            ContentRootPath = AppContext.BaseDirectory,
        });
        // Thousands of polls an hour say nothing, and SQL has no place in a clinic's log.
        builder.Logging.AddFilter("Microsoft.EntityFrameworkCore", LogLevel.Warning);
        builder.Logging.AddFilter("Microsoft.AspNetCore", LogLevel.Warning);
        // It would put the request's path, and with it a private link, beside every line.
        builder.Logging.AddFilter("Microsoft.AspNetCore.Hosting.Diagnostics", LogLevel.None);
        builder.Services.AddSingleton(TimeProvider.System);
        builder.Services.AddRazorPages().WithRazorPagesRoot("/Features").AddMvcOptions(mvc => mvc.ModelBinderProviders.Insert(0, new LineBreaks.Provider()));
        builder.Services.AddSingleton(_ => ContentLibrary.Load(ContentLibrary.Folder));
        builder.Services.AddData(builder.Configuration);
        builder.Services.AddSingleton<JobRunner>();
        builder.AddProxies();
        builder.AddStaff();
        builder.AddSettings();
        builder.AddPatients();
        builder.AddMessages();
        builder.AddRota();
        builder.AddIntake();
        builder.AddReview();
        builder.Services.AddScoped<SignConsent>();
        builder.Services.AddScoped<WithdrawConsent>();
        builder.AddTreatment();
        builder.AddEscalations();
        builder.AddAftercare();
        builder.AddOutcomes();
        builder.AddOperations();
        if (builder.Configuration.GetValue("Jobs:Run", true)) builder.Services.AddHostedService(s => s.GetRequiredService<JobRunner>());
        before?.Invoke(builder);

        var app = builder.Build();
        app.Services.GetRequiredService<ContentLibrary>();      // faulty content refuses to start, not to answer
        app.UseProxies();
        app.UseMiddleware<SafeHeaders>(new SafeHeaders.Options(StaffFeature.ComesOverHttps(app.Configuration)));
        app.UseProblemPage();
        app.UseStaticFiles(new StaticFileOptions { FileProvider = new EmbeddedFileProvider(typeof(Portal).Assembly, "AftercarePortal.Web.Features.Shared.assets"), RequestPath = "/assets" });
        app.UseRouting();
        app.UseAuthentication();
        app.UseMiddleware<AccessGate>();
        app.UseMiddleware<BodyLimit>();
        app.MapRazorPages();
        app.MapMessages();
        app.MapRota();
        app.MapIntake();
        app.MapReview();
        app.MapConsentPdf();
        app.MapTreatment();
        app.MapEscalations();
        app.MapOutcomes();
        app.MapOperations();
        return app;
    }
}
