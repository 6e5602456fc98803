using System.Security.Claims;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Authentication;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Access;

/// <summary>Denies by default: lets a request through only as the table in <see cref="Access"/> says, and enters the staff member's clinic.</summary>
internal sealed class AccessGate(RequestDelegate next)
{
    /// <summary>Claim with the clinic's id of a signed-in staff member.</summary>
    public const string ClinicClaim = "clinic";

    /// <summary>Claim present only after the second factor.</summary>
    public const string SecondFactorClaim = "second-factor";

    /// <summary>Claim with the id of this one session, made at the second factor.</summary>
    public const string SessionClaim = "session";

    /// <summary>Role of those who lead the practice.</summary>
    public const string LeadRole = "PracticeLead";

    /// <summary>Where a session whose screen is with a patient is unlocked.</summary>
    public const string LockPage = "/Staff/Unlock";

    public async Task InvokeAsync(HttpContext context, ClinicScope scope, PortalDb db, TimeProvider time, WordsForPatients words, BrowserOfStaff ofStaff)
    {
        var route = (context.GetEndpoint() as RouteEndpoint)?.RoutePattern.RawText?.TrimStart('/') ?? "";
        if (!Access.Table.TryGetValue(route, out var who))
        {
            context.Response.StatusCode = StatusCodes.Status404NotFound;
            return;
        }

        if (who is Who.Anyone or Who.HolderOfTheLink)
        {
            await next(context);
            return;
        }

        var clinic = context.User.FindFirst(ClinicClaim)?.Value;
        var session = context.User.HasClaim(c => c.Type == SecondFactorClaim) && clinic is not null && Guid.TryParse(context.User.FindFirst(SessionClaim)?.Value, out var id) ? id : (Guid?)null;
        if (session is not null) scope.Enter(Guid.Parse(clinic!));
        var lent = session is null ? null : await db.LentScreenOf(session.Value, context.RequestAborted);
        // Once its screen was taken back, a session is over: the browser has a new one, and a copy of the old cookie opens nothing.
        if (session is null || lent is { Over: true })
        {
            if (who is Who.SigningIn || (who is Who.AtTheDoor && session is null)) await next(context);
            // Pressed twice: the first press ended the session and began another, which this one does not know of. The page asked for stays asked for.
            else if (who is Who.AtTheLock && IsForm(context.Request)) context.Response.Redirect($"/Staff/SignIn{(context.Request.Query["then"].ToString() is { Length: > 0 } then ? QueryString.Create("then", then) : QueryString.Empty)}");
            // Nothing a stranger sends is read or repeated.
            else if (IsForm(context.Request) && ofStaff(context)) await KeptForm.Answer(context, readIn => who is Who.Patient ? KeptForm.EndedWithAPatient(context.Request.Path.Value!, readIn, words) : KeptForm.Ended);
            else await context.ChallengeAsync();
            return;
        }

        var path = context.Request.Path.Value ?? "";
        var handed = lent?.Screen;
        if (who is Who.AtTheLock)
        {
            await next(context);
            return;
        }

        if (handed is not null && !(who is Who.Patient && string.Equals(path, handed, StringComparison.OrdinalIgnoreCase)))
        {
            if (IsForm(context.Request)) await KeptForm.Answer(context, _ => KeptForm.WithAPatient);
            // The page asked for opens once the screen is unlocked: often it is the report somebody is paged for.
            else context.Response.Redirect(who is Who.Staff or Who.PracticeLead ? $"{LockPage}{QueryString.Create("then", path)}" : LockPage);
            return;
        }

        if (handed is null && who is Who.Patient)
        {
            // A patient's answers may come after the session had ended and somebody signed in anew: they are kept, and the screen is the patient's again.
            if (IsForm(context.Request)) await db.Lend(session.Value, context.User.FindFirstValue(ClaimTypes.NameIdentifier)!, path, time.GetCurrentInstant(), context.RequestAborted);
            else
            {
                context.Response.Redirect($"/Staff/Lend?Screen={Uri.EscapeDataString(path)}");
                return;
            }
        }

        if (who is Who.PracticeLead && !context.User.IsInRole(LeadRole))
        {
            context.Response.StatusCode = StatusCodes.Status404NotFound;
            return;
        }

        await next(context);
    }

    private static bool IsForm(HttpRequest request) => HttpMethods.IsPost(request.Method) && request.HasFormContentType;
}
