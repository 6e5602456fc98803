using System.Globalization;
using System.Text;
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
        var status = context.HttpContext.Response.StatusCode;
        var (language, both) = await LanguageFor(context.HttpContext);
        string[] languages = both ? ["en", "es"] : [language];
        var page = new StringBuilder();
        foreach (var spoken in languages)
        {
            var (heading, says, now) = In(spoken, status);
            page.Append(CultureInfo.InvariantCulture, $"""
                <section lang="{spoken}"><h1>{heading}</h1><p>{says}</p>
                <div class="caution"><p>{now}</p></div></section>
                """);
        }

        context.HttpContext.Response.ContentType = "text/html; charset=utf-8";
        await context.HttpContext.Response.WriteAsync($"""
            <!DOCTYPE html>
            <html lang="{languages[0]}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>{In(languages[0], status).Heading}</title><link rel="stylesheet" href="/assets/site.css"></head>
            <body><main id="main">{page}</main></body></html>
            """);
    }

    // The language of whose page it is, where that is known; else the one the browser asks for; else both. Pages of staff are in English.
    private static async Task<(string Language, bool Both)> LanguageFor(HttpContext context)
    {
        if (!context.Request.Path.StartsWithSegments("/Intake")) return ("en", false);
        // What failed inside may be the database: it is not asked again.
        if (context.Response.StatusCode < StatusCodes.Status500InternalServerError && await context.RequestServices.GetRequiredService<IReadersLanguage>().Of(context) is { } known) return (known, false);
        var asked = context.Request.GetTypedHeaders().AcceptLanguage.OrderByDescending(l => l.Quality ?? 1)
            .Select(l => Known.FirstOrDefault(k => l.Value.StartsWith(k, StringComparison.OrdinalIgnoreCase))).FirstOrDefault(l => l is not null);
        return (asked ?? "en", asked is null);
    }

    private static readonly string[] Known = ["en", "es"];

    private static (string Heading, string Says, string Now) In(string language, int status) => language switch
    {
        "es" => status switch
        {
            StatusCodes.Status400BadRequest => ("No se ha podido leer este formulario", "Puede que llevara mucho tiempo abierto. Vuelva atrás, copie lo que escribió, abra la página de nuevo y envíelo otra vez.", NowInSpanish),
            StatusCodes.Status404NotFound => ("Aquí no hay nada", "La dirección puede estar mal escrita, o no puede abrirla usted.", NowInSpanish),
            StatusCodes.Status413PayloadTooLarge => ("Es demasiado grande", "No se pierde nada de lo guardado. Vuelva atrás: un texto puede tener hasta 4.000 caracteres; una foto, hasta 8 MB.", NowInSpanish),
            StatusCodes.Status429TooManyRequests => ("Demasiadas veces ahora mismo", "Espere un minuto y pruebe otra vez.", NowInSpanish),
            _ => ("Algo ha fallado por nuestra parte", "Vuelva atrás y pruebe otra vez dentro de un minuto.", NowInSpanish),
        },
        _ => status switch
        {
            StatusCodes.Status400BadRequest => ("This form could not be read", "It may have been open for long. Go back, copy what you typed, open the page anew and send it again.", NowInEnglish),
            StatusCodes.Status404NotFound => ("There is nothing here", "The address may be mistyped, or it is not yours to open.", NowInEnglish),
            StatusCodes.Status413PayloadTooLarge => ("This is too large to take", "Nothing that was kept before is lost. Please go back: a text may have up to 4,000 characters, a photo up to 8 MB.", NowInEnglish),
            StatusCodes.Status429TooManyRequests => ("Too often just now", "Please wait a minute and try again.", NowInEnglish),
            _ => ("Something went wrong on our side", "Please go back and try again in a minute.", NowInEnglish),
        },
    };

    private const string
        NowInEnglish = "If something is wrong with you now, do not wait for this page: ring your clinic, in an emergency your local emergency number.",
        NowInSpanish = "Si le pasa algo ahora, no espere a esta página: llame a su clínica y, en una emergencia, al número de emergencias de su zona.";

    [LoggerMessage(LogLevel.Error, "A page failed: {Failure}\n{Place}")]
    private static partial void Failed(ILogger log, string failure, string? place);
}
