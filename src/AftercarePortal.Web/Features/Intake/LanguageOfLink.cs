using AftercarePortal.Web.Access;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>The language of the intake a private link is of, also of one that has ended; or the one asked for on the clinic's own page.</summary>
internal sealed class LanguageOfLink(PortalDb db) : IReadersLanguage
{
    public async Task<string?> Of(HttpContext context)
    {
        if (context.Request.Query["lang"].ToString() is var asked && PageWords.Languages.Contains(asked)) return asked;
        if (context.Request.Path.Value!.Split('/', StringSplitOptions.RemoveEmptyEntries) is not [_, var link, ..]) return null;
        var hash = PatientLink.HashOf(link);
        // No clinic is entered by it.
        return await db.Intakes.IgnoreQueryFilters().Where(i => i.LinkHash == hash).Select(i => i.Language).SingleOrDefaultAsync(context.RequestAborted);
    }
}
