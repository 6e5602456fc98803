using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Authentication;

namespace AftercarePortal.Web.Access;

/// <summary>Denies by default: lets a request through only as the table in <see cref="Access"/> says, and enters the staff member's clinic.</summary>
internal sealed class AccessGate(RequestDelegate next)
{
    /// <summary>Claim with the clinic's id of a signed-in staff member.</summary>
    public const string ClinicClaim = "clinic";

    /// <summary>Claim present only after the second factor.</summary>
    public const string SecondFactorClaim = "second-factor";

    /// <summary>Role of those who lead the practice.</summary>
    public const string LeadRole = "PracticeLead";

    public async Task InvokeAsync(HttpContext context, ClinicScope scope)
    {
        var route = (context.GetEndpoint() as RouteEndpoint)?.RoutePattern.RawText?.TrimStart('/') ?? "";
        if (!Access.Table.TryGetValue(route, out var who))
        {
            context.Response.StatusCode = StatusCodes.Status404NotFound;
            return;
        }

        var clinic = context.User.FindFirst(ClinicClaim)?.Value;
        var isStaff = context.User.HasClaim(c => c.Type == SecondFactorClaim) && clinic is not null;
        var needsStaff = who is Who.Staff or Who.PracticeLead;
        if (needsStaff && !isStaff)
        {
            if (HttpMethods.IsPost(context.Request.Method) && context.Request.HasFormContentType) await KeptForm.Answer(context);
            else await context.ChallengeAsync();
            return;
        }

        if (who is Who.PracticeLead && !context.User.IsInRole(LeadRole))
        {
            context.Response.StatusCode = StatusCodes.Status404NotFound;
            return;
        }

        if (needsStaff) scope.Enter(Guid.Parse(clinic!));
        await next(context);
    }
}
