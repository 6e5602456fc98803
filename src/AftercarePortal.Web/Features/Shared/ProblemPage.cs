using Microsoft.AspNetCore.Diagnostics;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>What a browser shows when there is nothing else to show: a plain page instead of an empty one. Machines get the bare status.</summary>
internal static partial class ProblemPage
{
    /// <summary>Shows it for every answer without a page, and logs what failed by type and place only.</summary>
    public static void UseProblemPage(this WebApplication app)
    {
        // In this order: what failed inside is a bare 500 to the page around it.
        app.UseStatusCodePages(Show);
        app.UseExceptionHandler(new ExceptionHandlerOptions { ExceptionHandler = Log, SuppressDiagnosticsCallback = _ => true });
    }

    // The type and the place, never the message: a message may hold what somebody typed.
    private static Task Log(HttpContext context)
    {
        var fault = context.Features.Get<IExceptionHandlerFeature>()!.Error;
        Failed(context.RequestServices.GetRequiredService<ILogger<Program>>(), fault.GetType().Name, fault.StackTrace);
        return Task.CompletedTask;
    }

    private static async Task Show(StatusCodeContext context)
    {
        var request = context.HttpContext.Request;
        if (!request.Headers.Accept.ToString().Contains("text/html", StringComparison.Ordinal)) return;
        var (heading, says) = context.HttpContext.Response.StatusCode switch
        {
            StatusCodes.Status400BadRequest => ("This form could not be read", "It may have been open for long. Go back, copy what you typed, open the page anew and send it again."),
            StatusCodes.Status404NotFound => ("There is nothing here", "The address may be mistyped, or it is not yours to open."),
            StatusCodes.Status413PayloadTooLarge => ("This is too large to take", "Nothing that was kept before is lost. Please go back: a text may have up to 4,000 characters, a photo up to 8 MB. / Es demasiado grande. No se pierde nada de lo guardado. Vuelva atrás: un texto puede tener hasta 4.000 caracteres; una foto, hasta 8 MB."),
            StatusCodes.Status429TooManyRequests => ("Too often just now", "Please wait a minute and try again. / Demasiadas veces ahora mismo. Espere un minuto y pruebe otra vez."),
            _ => ("Something went wrong on our side", "Please go back and try again in a minute."),
        };
        context.HttpContext.Response.ContentType = "text/html; charset=utf-8";
        await context.HttpContext.Response.WriteAsync($"""
            <!DOCTYPE html>
            <html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>{heading}</title><link rel="stylesheet" href="/assets/site.css"></head>
            <body><main id="main"><h1>{heading}</h1><p>{says}</p>
            <div class="caution"><p>If something is wrong with you now, do not wait for this page: ring your clinic, in an emergency your local emergency number.</p></div></main></body></html>
            """);
    }

    [LoggerMessage(LogLevel.Error, "A page failed: {Failure}\n{Place}")]
    private static partial void Failed(ILogger log, string failure, string? place);
}
