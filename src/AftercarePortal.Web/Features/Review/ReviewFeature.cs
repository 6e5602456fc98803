using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What the Review feature adds to the portal.</summary>
internal static class ReviewFeature
{
    public static void AddReview(this WebApplicationBuilder builder)
    {
        builder.Services.AddScoped<DecideIntake>();
        builder.Services.AddScoped<CorrectSender>();
        builder.Services.AddScoped<ReadAgain>();
        builder.Services.AddScoped<OverrideFinding>();
        builder.Services.AddScoped<AskBack>();
        builder.Services.AddScoped<AnswerQuestion>();
        builder.Services.AddScoped<CloseQuestion>();
        builder.Services.AddScoped<InviteToVisit>();
        builder.Services.AddScoped<IReachSender, ReachSender>();
        builder.Services.AddScoped<ILastLook, NoticeText>();
        builder.Services.AddScoped<Told>();
        builder.Services.AddScoped<Examine>();
        builder.Services.AddScoped<PlaceMark>();
        builder.Services.AddScoped<WhosePhoto>();
    }

    public static void MapReview(this WebApplication app)
    {
        app.MapProfilePictures();
        app.MapMarkedPictures();
        app.MapVisitCalendar();
    }
}
